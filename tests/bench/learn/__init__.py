"""Read large, learn small: tuning the bundled recogniser on print made small (see README.md)."""
