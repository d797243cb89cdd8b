"""What would change it, and ways on when a piece is late or something went wrong."""
