"""Makes the helpers of the tests and the makers of the docs importable by name.

Each test file is imported alone.
"""

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE / "helpers"), str(HERE.parent / "docs")]
