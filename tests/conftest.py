"""What all tests share: no test reads or writes what the user of this machine keeps."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from vouchbook.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session", autouse=True)
def _away_from_the_users_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Speech models are put together once for the whole session; tests that count what is heard set their own cache."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("VOUCHBOOK_DATA", str(tmp_path_factory.mktemp("data")))
        patch.setenv("VOUCHBOOK_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def run(capfd: pytest.CaptureFixture[str]) -> Run:
    """Runs ``vouchbook`` in this process: exit code, standard output, standard error."""

    def call(*arguments: str | Path) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as stopped:
            main([str(argument) for argument in arguments])
        out, err = capfd.readouterr()
        assert isinstance(stopped.value.code, int)
        return stopped.value.code, out, err

    return call
