"""Runs the command line: ``python -m vouchbook``."""

from vouchbook.cli.main import main

main()
