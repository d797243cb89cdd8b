"""Layer 6, the command line: a thin shell over the library. May know all; nobody imports it."""
