"""serve: the local page, for those who would rather not type commands."""

from __future__ import annotations

import argparse
import os
import socket
import threading
from contextlib import suppress
from pathlib import Path

from foldsketch.base.findings import FoldsketchError
from foldsketch.commands.arguments import Subparsers, add_command
from foldsketch.commands.messages import NO_WEB_PACKAGES, PORT_IN_USE

EXAMPLE = """\
example:
  foldsketch serve
      opens http://127.0.0.1:8737/ in your browser; nothing leaves this machine; stop it with Ctrl-C
"""

DEFAULT_PORT = 8737


def add_parser(commands: Subparsers) -> None:
    """The command serve."""
    serve = add_command(commands, "serve", "the local page", "Open the local page.", EXAMPLE, findings=False)
    serve.add_argument(
        "--port", type=int, default=DEFAULT_PORT, metavar="N", help=f"port on 127.0.0.1 (default {DEFAULT_PORT})"
    )
    serve.add_argument("--no-browser", action="store_true", help="do not open a browser")
    serve.add_argument("--samples", metavar="DIR", help="folder with part files to start from (default: samples/)")
    serve.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Serve until stopped."""
    from foldsketch.job.choices import out_of_range

    if wrong := out_of_range("--port", options.port, 1, 65535, whole=True):
        raise FoldsketchError(wrong)
    try:
        import uvicorn

        from foldsketch.web.app import make_app
        from foldsketch.web.request_guard import timed_protocol
    except ImportError:
        raise NO_WEB_PACKAGES.error("serve") from None
    samples = Path(options.samples) if options.samples else Path("samples")
    config = uvicorn.Config(
        make_app(options.port, samples), log_level="error", lifespan="off", http=timed_protocol(), timeout_keep_alive=20
    )
    server = uvicorn.Server(config)
    with socket.socket() as listening, suppress(KeyboardInterrupt):
        try:
            if os.name == "posix":  # elsewhere it would share a port that is in use
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind(("127.0.0.1", options.port))
            listening.listen()
        except OSError:
            raise PORT_IN_USE.error("--port", port=str(options.port)) from None
        # From here on a request waits until the server answers.
        address = f"http://127.0.0.1:{options.port}/"
        print(f"the page is at {address}; stop with Ctrl-C", flush=True)
        if not options.no_browser:
            import webbrowser

            threading.Thread(target=webbrowser.open, args=[address], daemon=True).start()
        server.run(sockets=[listening])
    return 0
