"""Inkwitness reads the print on a respirator and says what it says.

The data flows one way, and so do the imports:

    photo -> reading -> marks -> rulebook -> findings -> holders -> check
          -> consignment -> sampling -> records -> jobs -> use_cases -> reports -> api -> cli

`check.pipeline` tells the whole story in named steps: read that first.
"""

import os

# The runtime of the readers' networks reports its use to its maker unless this stands before it
# is first imported. Every program here imports this package first, and its child processes
# inherit the setting; tests/cli/test_speaks_to_nobody.py watches it.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"

__version__ = "0.1.0"
