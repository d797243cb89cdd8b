"""What a tasting shows and what it could not have shown: exact where exact exists, no files, no clock.

Tests that scipy.stats has too are short enough to write on scipy.special: scipy.stats takes a second to
load, at the first page of a cook. Where scipy has none, or not for so few tasters, the function says so.
"""
