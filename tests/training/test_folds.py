"""No kind of machine stands in two parts."""

from folds import FOLDS, folds_of

_KINDS = {"lifts": ["goods-lift", "hospital-lift"], "presses": ["baler", "brake"], "solar": ["church-roof"]}
_TALKS = ["baler", "brake", "church-roof", "goods-lift", "hospital-lift", "tram"]


def test_each_talk_is_left_out_once() -> None:
    folds = folds_of(_TALKS, _KINDS)
    assert len(folds) == FOLDS
    assert sorted(talk for fold in folds for talk in fold) == _TALKS


def test_a_kind_is_left_out_as_a_whole() -> None:
    folds = folds_of(_TALKS, _KINDS)
    for names in _KINDS.values():
        assert sum(bool(fold & set(names)) for fold in folds) == 1


def test_the_same_talks_fall_into_the_same_parts() -> None:
    assert folds_of(_TALKS, _KINDS) == folds_of(reversed(_TALKS), _KINDS)
