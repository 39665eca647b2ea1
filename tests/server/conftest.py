"""Servers that several tests share: to start one costs far more than to ask it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from .raw import HERE, SPARES, Raw

Sharing = Callable[[str | None, str], Raw]


@pytest.fixture(scope="session", autouse=True)
def compiled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keeps what the servers compile until the tests end: to compile it anew at every start takes long."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path_factory.mktemp("compiled")))
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        yield
        SPARES.end()


@pytest.fixture(scope="session")
def sharing(compiled_once: None) -> Iterator[Sharing]:
    """Gives the session's server for an encoding and a script, started when first asked for, anew if it has ended."""
    servers: dict[tuple[str | None, str], Raw] = {}

    def give(encoding: str | None, script: str) -> Raw:
        found = servers.get((encoding, script))
        if found is None or found.process.poll() is not None:
            found = servers[encoding, script] = Raw(script=HERE / script, rest=0.3)
            found.initialize(encoding, initializationOptions={"calm": False})
        found.begin_anew()
        return found

    yield give
    for server in servers.values():
        server.__exit__()


@pytest.fixture
def shared(sharing: Sharing) -> Iterator[Callable[[str | None], Raw]]:
    """The shared server with the hand-made proof, for an encoding."""
    used: list[Raw] = []

    def give(encoding: str | None) -> Raw:
        used.append(sharing(encoding, "fake_server.py"))
        return used[-1]

    yield give
    for server in used:
        server.put_away()


@pytest.fixture
def ready(shared: Callable[[str | None], Raw]) -> Raw:
    """A server ready for work, UTF-16 and not calm; what the test opens is closed after it."""
    return shared("utf-16")


@pytest.fixture
def real(sharing: Sharing) -> Iterator[Raw]:
    """The server as delivered."""
    server = sharing("utf-16", "real_server.py")
    yield server
    server.put_away()


@pytest.fixture
def raw() -> Iterator[Raw]:
    """A server of the test's own, just started."""
    with Raw(rest=0.3) as client:
        yield client
