"""Run jitter as ``python -m jitter``."""

from jitter.cli import main

main()
