"""Makes ``bin-lorry.json`` again from ``bin-lorry.vtt``; with ``--print`` it prints the draft and writes nothing."""

import sys
from pathlib import Path

from vouchbook.extract.run import Drafting, transcript_of

HERE = Path(__file__).parent


def main() -> None:
    draft = Drafting().draft(transcript_of([HERE / "bin-lorry.vtt"])).to_json()
    if "--print" in sys.argv:
        sys.stdout.reconfigure(encoding="utf-8", newline="\n")  # type: ignore[union-attr]
        sys.stdout.write(draft)
    else:
        (HERE / "bin-lorry.json").write_text(draft, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
