"""How sure a mark is: evidence of the views, calibration, and reasons of doubt."""
