"""`python -m foldsketch`: the command line, where its script is not on the path."""

from foldsketch.cli import main

raise SystemExit(main())
