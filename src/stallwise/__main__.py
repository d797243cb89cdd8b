"""``python -m stallwise`` is ``stallwise``."""

import sys

if __name__ == "__main__":
    from stallwise.cli.main import main

    sys.exit(main())
