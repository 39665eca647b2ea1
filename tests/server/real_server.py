"""The server as it is delivered."""

import sys

from tenterhook.server.main import main

if __name__ == "__main__":
    sys.exit(main())
