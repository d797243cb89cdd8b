"""Panels of the notebook: editors over a cook's files. The only door to ipywidgets."""
