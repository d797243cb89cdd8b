"""Time and temperature limits of a cook: facts against published rules."""
