"""Makes the helpers of the tests importable by name, since each test file is imported alone."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "helpers"))
