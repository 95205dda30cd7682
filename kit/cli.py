"""The console command `season`."""

import sys


def main() -> int:
    """Run the command; the exit code says how it went."""
    return 0


if __name__ == "__main__":
    sys.exit(main())
