"""The command that opens the web app."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drainwright.commands.office import StoreUrl, refusing
from drainwright.commands.shared import Exit, app, wrong

if TYPE_CHECKING:
    import socket

    import uvicorn

    from drainwright.office.settings import Settings

HOST = "127.0.0.1"


@app.command(epilog="Example: drainwright serve --port 8321 --no-open")
def serve(
    port: Annotated[int, typer.Option(min=0, max=65535, help="on this machine; 0: any that is free")] = 8321,
    store: StoreUrl = None,
    show: Annotated[bool, typer.Option("--open/--no-open", help="open it in the browser")] = True,
    people: Annotated[
        bool | None,
        typer.Option("--people/--alone", help="with sign-in; default: where the store has passwords, or is PostgreSQL"),
    ] = None,
    name: Annotated[
        list[str] | None, typer.Option(help="name that others reach it by, like drains.example.org; may be repeated")
    ] = None,
    bind: Annotated[
        str, typer.Option(help="address to listen on; another than this machine's own needs people")
    ] = HOST,
    https: Annotated[bool, typer.Option("--https", help="a proxy on this machine brings it by https")] = False,
) -> None:
    """Open the web app: for the one person at this machine, or for a firm whose people sign in. Ctrl-C ends it."""
    import socket
    import webbrowser

    import uvicorn

    from drainwright.errors import InputError
    from drainwright.office.app import make_app

    settings = _settings(store, people, tuple(name or ()), bind, https)
    try:
        built = make_app(settings)
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    family = socket.AF_INET6 if ":" in bind else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((bind, port))
        except OSError as error:
            told = f"found {port}" if bind == HOST else f"found {port} at {bind}"
            typer.echo(f"--port: {told}, {error.strerror}; expected one that is free, or 0 for any.", err=True)
            raise typer.Exit(Exit.WRONG_INPUT) from None
        door.listen()  # who is quicker than the app waits
        address = f"http://{HOST}:{door.getsockname()[1]}/"
        typer.echo(f"Drainwright is open at {address}\nCtrl-C ends it.")
        if settings.first_code:
            address += f"first?code={settings.first_code}"
            typer.echo(f"Nobody can sign in yet. The first owner comes in at {address}")
        if show:
            webbrowser.open(address)
        config = uvicorn.Config(
            built, log_level="warning", server_header=False, proxy_headers=https, forwarded_allow_ips=HOST
        )
        _server(config).run(sockets=[door])


def _server(config: uvicorn.Config) -> uvicorn.Server:
    """A server that closes the app also where a second interrupt does not wait for who is still sending."""
    import logging

    import uvicorn

    class Server(uvicorn.Server):
        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            await super().shutdown(sockets)
            if self.force_exit:  # then it leaves the app open, which would be broken off with a trace
                await self.lifespan.shutdown()
                logging.getLogger("uvicorn.error").disabled = True  # what is still under way is broken off on purpose

    return Server(config)


def _settings(store: str | None, people: bool | None, names: tuple[str, ...], bind: str, https: bool) -> Settings:
    """What the app is started with; a store that cannot be had is told here, before the browser opens."""
    import secrets

    from drainwright.office.settings import LOOPBACK, Settings
    from drainwright.office.store.opening import default_url, open_store
    from drainwright.office.store.people import needs_owner

    with refusing():
        opened = open_store(store or default_url())
        try:
            empty = needs_owner(opened)
            signs_in = (not empty or not opened.is_file) if people is None else people
        finally:
            opened.close()
    if not signs_in and (bind != HOST or names or https):
        wrong("--bind, --name, --https: found others who may come; expected --people with it, so that they sign in. "
              "Nothing was opened.")  # fmt: skip
    if not signs_in and not empty:
        wrong("--alone: found a store with passwords; expected --people with it. Nothing was opened.")
    return Settings(
        local=not signs_in, hosts=LOOPBACK | {one.lower() for one in names}, secure=https, store=store,
        first_code=secrets.token_urlsafe(12) if signs_in and empty else "",
    )  # fmt: skip


__all__ = ["serve"]
