"""Layer 4, pictures: charts; the only door to altair. May know ground to joins."""
