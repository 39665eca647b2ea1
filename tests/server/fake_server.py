"""The real server with the hand-made proof: ``python fake_server.py [OPTION…]``."""

from __future__ import annotations

import sys
from pathlib import Path

from tenterhook.server.main import main

sys.path.insert(0, str(Path(__file__).parent))
from fake_proof import fake

if __name__ == "__main__":
    sys.exit(main(prove=fake))
