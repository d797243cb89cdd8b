"""Log lines from paper: short lines taken apart, understood or asked."""
