"""Every error that a user can cause or mend.

    VouchbookError
    ├── InputError          a file that was given
    │   ├── MediaError        sound or film
    │   ├── CaptionError      captions or text
    │   ├── DocumentError     a stored Vouchbook document
    │   └── PackError         a vocabulary
    ├── ModelError          speech weights: missing, wrong hash
    ├── SettingError        an option or a setting
    └── LibraryError        what the department keeps
        ├── StoreError        its files or its database: missing, busy, full, damaged, of a newer Vouchbook
        ├── NotFoundError     something that the library does not hold
        ├── GoneError         something that it held and that was removed for a reason
        ├── SignInError       nobody, or nobody any more, is signed in
        ├── NotAllowedError   this person may not do that
        └── ConflictError     it stands against what is there
            └── StaleError      somebody else changed it since it was seen

Each is one line that names the file, what is wrong and what to do. The command line turns them into exit code 2;
any other exception is a defect of ours and keeps its traceback.
"""


class VouchbookError(Exception):
    """Base of all errors that a user can cause or mend."""


class InputError(VouchbookError):
    """A file that was given cannot be used.

    The message is ``NAME: PROBLEM. REMEDY``, on one line.
    """

    def __init__(self, name: str, problem: str, remedy: str) -> None:
        self.name = name
        self.problem = _one_line(problem)
        self.remedy = _one_line(remedy)
        super().__init__(f"{name}: {self.problem}. {self.remedy}.")


class MediaError(InputError):
    """A sound or film file cannot be used."""


class CaptionError(InputError):
    """A caption or text file cannot be used."""


class DocumentError(InputError):
    """A stored Vouchbook document cannot be used."""


class PackError(InputError):
    """A vocabulary file cannot be used."""


class ModelError(VouchbookError):
    """Speech weights are missing or not what they should be."""


class SettingError(VouchbookError):
    """An option or a setting cannot be used."""


class LibraryError(VouchbookError):
    """The library cannot do what was asked.

    The message is ``WHAT: PROBLEM. REMEDY``, on one line.
    """

    def __init__(self, what: str, problem: str, remedy: str) -> None:
        self.what = _one_line(what)
        self.problem = _one_line(problem)
        self.remedy = _one_line(remedy)
        super().__init__(f"{self.what}: {self.problem}. {self.remedy}.")


class StoreError(LibraryError):
    """The files or the database of the library are missing, busy, full, damaged or of a newer Vouchbook."""


class NotFoundError(LibraryError):
    """The library does not hold what was asked for."""


class GoneError(LibraryError):
    """The library held it, and it was removed for a reason."""


class SignInError(LibraryError):
    """Login and password, a session or a token do not say who this is."""


class NotAllowedError(LibraryError):
    """The person who is signed in may not do this."""


class ConflictError(LibraryError):
    """What was to be done stands against what the library holds."""


class StaleError(ConflictError):
    """What was to be changed is no longer as it was seen; the problem says what changed, by whom and when."""


def _one_line(text: str) -> str:
    return " ".join(text.split()).rstrip(".")
