"""What a tasting shows and what it could not have shown: exact where exact exists, no files, no clock."""
