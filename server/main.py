"""``tenterhook serve``: the language server on standard input and output, a TCP port or a web socket."""

from __future__ import annotations

import argparse
import logging
import sys
from collections.abc import Sequence
from importlib.util import find_spec
from typing import TYPE_CHECKING

from ..lint.version import VERSION

if TYPE_CHECKING:
    from .analysis import Prove


def main(argv: Sequence[str] | None = None, *, prove: Prove | None = None) -> int:
    """Serve one client. 0 after a shutdown asked for, 1 when the client went without, 2 where it could not start.

    ``prove`` proofs a text, the real thing by default.
    """
    try:
        arguments = _parser().parse_args(argv)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2

    if arguments.ws and find_spec("websockets") is None:
        print("tenterhook serve: --ws needs the package websockets; install it, or use --tcp", file=sys.stderr)
        return 2

    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(levelname)s %(name)s: %(message)s")
    from .headers import tolerant
    from .house import House
    from .language_server import Server
    from .parent import follow

    house = House()
    server = Server(VERSION, prove or house.proof, house.look_again)
    if arguments.client_process_id:
        follow(arguments.client_process_id)
    # Whatever prints, a rule of someone else's included, must not get in between the messages.
    out, sys.stdout = sys.stdout, sys.stderr
    try:
        if arguments.tcp:
            server.start_tcp(*arguments.tcp)
        elif arguments.ws:
            server.start_ws(*arguments.ws)
        else:
            server.start_io(tolerant(sys.stdin.buffer), out.buffer)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 1
    except KeyboardInterrupt:
        pass
    except OSError as error:
        print(f"tenterhook serve: {error.strerror or error}", file=sys.stderr)
        return 2
    finally:
        sys.stdout = out
    return 0 if server.protocol.ended_well else 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tenterhook serve", description="Proofread patterns in an editor, as typed.")
    channel = parser.add_mutually_exclusive_group()
    channel.add_argument("--stdio", action="store_true", help="speak on standard input and output (the default)")
    channel.add_argument("--tcp", nargs=2, action=_Address, metavar=("HOST", "PORT"), help="listen on a TCP port")
    channel.add_argument("--ws", nargs=2, action=_Address, metavar=("HOST", "PORT"), help="listen for a web socket")
    parser.add_argument(
        "--clientProcessId", dest="client_process_id", type=int, metavar="PID", help="end when this process does"
    )
    return parser


class _Address(argparse.Action):
    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: object,
        option_string: str | None = None,
    ) -> None:
        assert isinstance(values, list)
        host, port = values
        if not port.isdecimal() or not 0 <= int(port) <= 65535:
            parser.error(f"argument {option_string}: the port is a number from 0 to 65535, not {port!r}")
        namespace.__dict__[self.dest] = (host, int(port))


if __name__ == "__main__":
    sys.exit(main())
