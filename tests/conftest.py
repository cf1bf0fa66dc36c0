"""No test reads or writes what the user of this machine keeps."""

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def _away_from_the_users_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Speech models are put together once for the whole session; tests that count what is heard set their own cache."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("VOUCHBOOK_DATA", str(tmp_path_factory.mktemp("data")))
        patch.setenv("VOUCHBOOK_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield
