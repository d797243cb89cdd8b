"""Cooks that lie behind: laid beside each other, and a whole book of them."""
