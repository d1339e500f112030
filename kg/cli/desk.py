"""The command ``desk``: the daybook on screen, in the browser, on this machine only."""

from __future__ import annotations

import gc
import os
import signal
import socket
import sys
import threading
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.errors import KilnmarkError
from kg.resources import resource

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Names the daybook's folder to the screens, and to this command where no option does.
VARIABLE = "KILNMARK_DAYBOOK"

#: The loopback address: the desk never listens on another.
HOST = "127.0.0.1"

#: Tried first, so that the desk's address stays the same from day to day.
USUAL_PORT = 8760

#: What the browser may do on the desk's pages: nothing that leads away from this machine.
HEADERS = {
    "content-security-policy": (
        "default-src 'self'; script-src 'self' 'unsafe-inline' blob:; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self'; frame-src 'self' blob: data:; "
        "worker-src 'self' blob:; object-src 'none'; base-uri 'self'; form-action 'self'"
    ),
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
}


#: Names the file of the colleagues' roles to the screens where sign-in is set up; its presence is what turns it on.
COLLEAGUES = "KILNMARK_COLLEAGUES"

#: Names the file in which the name that signs is kept on this machine, where there is no sign-in.
SIGNER_FILE = "KILNMARK_SIGNER_FILE"

#: What a file for sign-in holds; it is the configuration of `st.login` (OpenID Connect).
SIGN_IN_EXAMPLE = """\
[auth]
redirect_uri = "http://127.0.0.1:{port}/oauth2callback"
cookie_secret = "at least 32 characters that nobody can guess"
client_id = "as your provider gives it"
client_secret = "as your provider gives it"
server_metadata_url = "https://your.provider/.well-known/openid-configuration"
"""

#: The file that names the daybook opened last.
_LAST = "last-daybook"

#: Characters of a secret below which the sign-in cookie could be forged.
SHORTEST_SECRET = 32


class BadSignIn(KilnmarkError):
    """The file that sets up sign-in cannot be used."""


class PortTaken(KilnmarkError):
    """The port that was asked for is in use by another program."""


def desk(
    daybook: Annotated[
        Path | None,
        typer.Option("--daybook", "-d", help=f"The daybook's folder; else ${VARIABLE}, the last, the demo."),
    ] = None,
    port: Annotated[
        int | None,
        typer.Option("--port", min=1, max=65535, help=f"The port; else {USUAL_PORT} or a free one."),
    ] = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Print the address and open no browser.")
    ] = False,
    sign_in: Annotated[
        Path | None,
        typer.Option(
            "--sign-in", help="A TOML file, outside the daybook, that sets up sign-in for colleagues."
        ),
    ] = None,
    colleagues: Annotated[
        Path | None,
        typer.Option(
            "--colleagues", help="Who is reader, researcher, editor; else colleagues.toml of the daybook."
        ),
    ] = None,
) -> None:
    """Open the daybook on screen, in the browser; only this machine can reach it. End with Ctrl-C."""
    folder = chosen_daybook(daybook)
    remember(folder)
    secrets = set_up_sign_in(folder, sign_in, colleagues)
    chosen = chosen_port(port)
    address = f"http://{HOST}:{chosen}"
    typer.echo(f"The daybook in {folder} is open at {address}")
    typer.echo("End with Ctrl-C.")
    sys.stdout.flush()
    if not no_browser:
        threading.Thread(target=_browse, args=(address, chosen), daemon=True).start()
    serve(folder, chosen, secrets)


def chosen_daybook(named: Path | None) -> Path:
    """The folder to open: the one named, else that of the environment, else the last, else the demo.

    The demo is begun where there is none.

    :raises kg.daybook.shelf.NoDaybook: if a named folder holds no daybook.
    """
    from kg.daybook.shelf import MARKER, Shelf

    given = named or (Path(os.environ[VARIABLE]) if os.environ.get(VARIABLE) else None)
    if given is not None:
        return Shelf.open(given.resolve()).folder
    last = last_daybook()
    if last is not None and (last / MARKER).is_file():
        return last
    folder = data_folder() / "demo"
    if not (folder / MARKER).is_file():
        from kg.daybook.demo import begin_demo

        begin_demo(folder)
    return folder


def last_daybook() -> Path | None:
    """The folder that was opened last, which may be gone by now."""
    with suppress(OSError, ValueError):
        folder = Path((data_folder() / _LAST).read_text(encoding="utf-8"))
        return folder if folder.is_absolute() else None
    return None


def remember(folder: Path) -> None:
    """Keep the folder for the next time; where it cannot be kept, the desk opens all the same."""
    with suppress(OSError):
        data_folder().mkdir(parents=True, exist_ok=True)
        (data_folder() / _LAST).write_text(str(folder), encoding="utf-8")


def data_folder() -> Path:
    """Where this user's own files of the program are kept, by the custom of the platform."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        # The XDG Base Directory Specification: a relative path counts as unset.
        named = Path(os.environ.get("XDG_DATA_HOME", ""))
        base = named if named.is_absolute() else Path.home() / ".local" / "share"
    return base / "kilnmark"


def chosen_port(asked: int | None) -> int:
    """The port asked for, or the usual one, or one that is free.

    :raises PortTaken: if the port asked for is in use.
    """
    for candidate in (asked,) if asked is not None else (USUAL_PORT, 0):
        with suppress(OSError), socket.socket() as probe:
            if os.name == "posix":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((HOST, candidate))
            return int(probe.getsockname()[1])
    raise PortTaken(f"Port {asked} is in use by another program. Give another with --port, or leave it out.")


def set_up_sign_in(folder: Path, secrets: Path | None, colleagues: Path | None) -> Path | None:
    """Tell the screens who may do what; the file of secrets, checked, where there is sign-in.

    :raises BadSignIn: if the file of secrets cannot be used, or colleagues are named without sign-in.
    :raises kg.asking.roles.BadColleagues: if the file of the colleagues cannot be used.
    """
    from kg.asking.roles import COLLEAGUES as FILE
    from kg.asking.roles import Colleagues

    os.environ.setdefault(SIGNER_FILE, str(data_folder() / "signer.txt"))
    os.environ.pop(COLLEAGUES, None)
    if secrets is None:
        if colleagues is not None:
            raise BadSignIn("Colleagues are told apart by sign-in only. Give --sign-in too.")
        return None
    if find_spec("authlib") is None:
        raise BadSignIn("Sign-in needs a library that is not installed: pip install 'streamlit[auth]'.")
    checked = checked_sign_in(secrets.resolve(), folder)
    named = (colleagues or folder / FILE).resolve()
    if colleagues is not None and not named.is_file():
        raise BadSignIn(f"There is no file {named}. It names who is reader, researcher or editor.")
    Colleagues.read(named)
    os.environ[COLLEAGUES] = str(named)
    return checked


def checked_sign_in(path: Path, folder: Path) -> Path:
    """A file of secrets that can be used.

    :raises BadSignIn: if it is absent, lies in the daybook, or leaves something out.
    """
    if not path.is_file():
        raise BadSignIn(f"There is no file {path}. It holds:\n{SIGN_IN_EXAMPLE}")
    if path.is_relative_to(folder.resolve()):
        raise BadSignIn(f"{path} lies in the daybook, which is copied and shared. Keep secrets elsewhere.")
    try:
        auth = tomllib.loads(path.read_text(encoding="utf-8")).get("auth", {})
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadSignIn(f"{path} cannot be read as TOML: {error}. It holds:\n{SIGN_IN_EXAMPLE}") from error
    wanted = ("redirect_uri", "cookie_secret", "client_id", "client_secret", "server_metadata_url")
    missing = [key for key in wanted if not isinstance(auth, dict) or not str(auth.get(key, "")).strip()]
    if missing:
        raise BadSignIn(f"{path} leaves out {', '.join(missing)}. It holds:\n{SIGN_IN_EXAMPLE}")
    if len(str(auth["cookie_secret"])) < SHORTEST_SECRET:
        raise BadSignIn(
            f"{path}: the cookie_secret has fewer than {SHORTEST_SECRET} characters. Give a longer one."
        )
    return path


def serve(folder: Path, port: int, secrets: Path | None = None) -> None:
    """Show the daybook's screens on the loopback address until the process is told to end."""
    os.environ[VARIABLE] = str(folder)
    threading.Thread(target=_read_ahead, args=(folder,), daemon=True).start()
    home = resource("app") / "home.py"
    sys.path.insert(0, str(home.parent.parent))
    sys.argv = [str(home)]
    import streamlit as st
    from starlette.middleware import Middleware
    from streamlit import logger

    logger.set_log_level("ERROR")
    settings = dict(settings_of(home.parent / ".streamlit" / "config.toml"))
    settings.update(
        {
            "server.port": port,
            "server.address": HOST,
            "server.headless": True,
            "logger.hideWelcomeMessage": True,
            # Without sign-in no file of secrets is looked for, wherever the command is run.
            "secrets.files": [str(secrets)] if secrets else [],
        }
    )
    # The server raises the signal that ended it once more; to end when told to is no fault.
    signal.signal(signal.SIGTERM, lambda _number, _frame: sys.exit(0))
    with suppress(KeyboardInterrupt, SystemExit):
        st.App(str(home), middleware=[Middleware(Doorkeeper)]).run(config=settings)


def _read_ahead(folder: Path) -> None:
    """Read the daybook and reckon its dates while the server and the browser start."""
    from kg.asking import desk_of

    with suppress(KilnmarkError):  # the first screen tells what is wrong
        standpoint = desk_of(folder).standpoint()
        _ = standpoint.stock, standpoint.chronology.evidence.repaired
        # What was read stays for as long as the desk is open: the collector need not look at it again and again,
        # which would hold up a screen for most of a second at 70,000 claims.
        gc.collect()
        gc.freeze()


def settings_of(path: Path) -> Iterator[tuple[str, Any]]:
    """The settings of a Streamlit configuration file by their dotted names."""

    def flat(table: Mapping[str, Any], before: str) -> Iterator[tuple[str, Any]]:
        for key, value in table.items():
            if isinstance(value, dict):
                yield from flat(value, f"{before}{key}.")
            else:
                yield f"{before}{key}", value

    return flat(tomllib.loads(path.read_text(encoding="utf-8")), "")


class Doorkeeper:
    """Lets in only what was asked of this machine by its own name, and lays `HEADERS` on every answer.

    A page from outside that has its name point at the loopback address is turned away.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, with the headers added."""
        if scope["type"] in {"http", "websocket"} and not _is_own_name(scope):
            await _turn_away(scope, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                added = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
                kept = [
                    pair for pair in message.get("headers", []) if pair[0].decode().lower() not in HEADERS
                ]
                message = {**message, "headers": [*kept, *added]}
            await send(message)

        await self.app(scope, receive, with_headers)


def _is_own_name(scope: Scope) -> bool:
    named = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
    return len(named) == 1 and named[0].rsplit(":", 1)[0] in {HOST, "localhost"}


async def _turn_away(scope: Scope, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    await send({"type": "http.response.start", "status": 421, "headers": [(b"content-type", b"text/plain")]})
    await send({"type": "http.response.body", "body": b"This desk answers only to 127.0.0.1 and localhost."})


def _browse(address: str, port: int) -> None:
    """Open the browser once the server answers."""
    import time
    import webbrowser

    for _ in range(100):
        with suppress(OSError), socket.create_connection((HOST, port), timeout=1):
            webbrowser.open(address)
            return
        time.sleep(0.1)
