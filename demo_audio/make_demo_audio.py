"""Makes the demonstration recordings and everything that is true of them, from the scripts in `scripts/`.

usage: python make_demo_audio.py [NAME ...]
"""

import sys
from pathlib import Path

from maker import media, reference
from maker.scenes import draw_scene
from maker.script import read_script
from maker.surroundings import drowned_span_s, record
from maker.talk import Talk, speak
from maker.voices import SAMPLE_RATE_HZ, Sound, load_voices

HERE = Path(__file__).parent
LONGEST_SHIFT_S = 0.03  # half a short syllable: beyond it the captions would not be true


def main(names: list[str]) -> None:
    """Writes media, captions, text and gold for every named script (all when none is named)."""
    paths = [HERE / "scripts" / f"{name}.toml" for name in names] or sorted((HERE / "scripts").glob("*.toml"))
    voices = load_voices()
    for path in paths:
        talk = speak(read_script(path), voices)
        sound = record(talk)
        target = HERE / talk.script.media
        _write_media(target, talk, sound)
        shift_s = media.shift_s(target, sound)
        if abs(shift_s) > LONGEST_SHIFT_S:
            raise ValueError(f"{target.name}: the sound is shifted by {shift_s:.3f} s against its captions")
        for ending, text in (
            ("vtt", reference.captions(talk)),
            ("txt", reference.plain_text(talk)),
            ("gold.json", reference.gold(talk)),
        ):
            (HERE / f"{talk.script.name}.{ending}").write_text(text, encoding="utf-8", newline="\n")
        items = sum(len(cue.items) for cue in talk.script.cues)
        print(
            f"{target.name}: {len(sound) / SAMPLE_RATE_HZ:.1f} s, {target.stat().st_size / 1e6:.2f} MB, {items} items, "
            f"shift {shift_s * 1000:.0f} ms, drowned {drowned_span_s(talk)}"
        )


def _write_media(target: Path, talk: Talk, sound: Sound) -> None:
    scenes = [(spoken.span_s[0], spoken.cue.scene) for spoken in talk.cues if spoken.cue.scene]
    if not scenes:
        media.write_ogg(target, sound)
        return
    # the first picture also covers the lead-in
    starts_s = [0.0, *(start_s for start_s, _ in scenes[1:])]
    media.write_mp4(target, sound, [(at_s, draw_scene(name)) for at_s, (_, name) in zip(starts_s, scenes, strict=True)])


if __name__ == "__main__":
    main(sys.argv[1:])
