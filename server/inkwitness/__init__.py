"""Inkwitness reads the print on a respirator and says what it says.

The data flows one way, and so do the imports:

    photo -> reading -> marks -> rulebook -> findings -> holders -> check
          -> consignment -> sampling -> records -> jobs -> use_cases -> reports -> api -> cli

`check.pipeline` tells the whole story in named steps: read that first.
"""

import os
from pathlib import Path

# The runtime of the readers' networks reports its use to its maker unless this stands before it
# is first imported. Every program here imports this package first, and its child processes
# inherit the setting; tests/cli/test_speaks_to_nobody.py watches it.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"

#: The one place of the version: pyproject.toml takes it from here.
__version__ = "0.1.0"

#: What comes with the program: its name inside the package of a wheel, and where it is edited.
_SHIPPED = {"rules": "rules", "page": "web/dist", "sample_images": "sample_images"}


def shipped_folder(name: str) -> Path:
    """The folder `rules`, `page` or `sample_images`: the wheel's copy, or the checkout's own."""
    inside = Path(__file__).parent / name
    return inside if inside.is_dir() else Path(__file__).parents[2] / _SHIPPED[name]
