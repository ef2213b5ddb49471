"""`python -m onboard` is the command `onboard`."""

from onboard.cli import main

main()
