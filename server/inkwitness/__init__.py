"""Inkwitness reads the print on a respirator and says what it says.

The data flows one way, and so do the imports:

    photo -> reading -> marks -> rulebook -> findings -> holders -> check
          -> consignment -> sampling -> records -> reports -> api -> cli

`check.pipeline.check_photo` tells the whole story in named steps: read that first.
"""

__version__ = "0.1.0"
