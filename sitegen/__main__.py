"""`python -m sitegen`."""

import sys

from sitegen.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
