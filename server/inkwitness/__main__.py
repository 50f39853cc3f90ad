"""Run with `python -m inkwitness`."""

from inkwitness.cli.main import main

if __name__ == "__main__":
    main()
