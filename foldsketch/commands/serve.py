"""serve: the local page, for whoever would rather not type commands."""

from __future__ import annotations

import argparse
import socket
import sys
from pathlib import Path

from foldsketch.base.findings import input_error
from foldsketch.commands.arguments import Subparsers, add_command

EXAMPLE = """\
example:
  foldsketch serve
      opens http://127.0.0.1:8737/ in your browser; nothing leaves this machine; stop it with Ctrl-C
"""

DEFAULT_PORT = 8737


def add_parser(commands: Subparsers) -> None:
    """The command serve."""
    serve = add_command(commands, "serve", "the local page", "Open the local page.", EXAMPLE)
    serve.add_argument(
        "--port", type=int, default=DEFAULT_PORT, metavar="N", help=f"port on 127.0.0.1 (default {DEFAULT_PORT})"
    )
    serve.add_argument("--no-browser", action="store_true", help="do not open a browser")
    serve.add_argument("--samples", metavar="DIR", help="folder of part files to begin with (default: samples/)")
    serve.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Serve until stopped."""
    if not 1 <= options.port <= 65535:
        raise input_error("--port", f"{options.port} is out of range", "give 1 to 65535")
    try:
        import uvicorn

        from foldsketch.web.app import make_app
    except ImportError:
        raise input_error("serve", "needs the web extra", "pip install 'foldsketch[web]'") from None
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", options.port))
        except OSError:
            raise input_error("--port", f"{options.port} is in use", "give another one") from None
    address = f"http://127.0.0.1:{options.port}/"
    samples = Path(options.samples) if options.samples else Path("samples")
    print(f"the page is at {address}; stop with Ctrl-C")
    sys.stdout.flush()
    if not options.no_browser:
        import threading
        import webbrowser

        threading.Timer(0.8, webbrowser.open, [address]).start()
    uvicorn.run(make_app(options.port, samples), host="127.0.0.1", port=options.port, log_level="error", lifespan="off")
    return 0
