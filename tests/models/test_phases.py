from vouchbook.models.phases import Phase


def test_topics_stand_in_the_order_of_published_rescue_information() -> None:
    """ISO 17840-3, chapters 1 to 8 of a rescue sheet's second page; ``other`` is ours and comes last."""
    assert [phase.value for phase in Phase] == [
        "identify", "immobilise", "disable", "access", "stored_energy", "fire", "submersion", "towing", "other",
    ]  # fmt: skip


def test_each_topic_has_a_label_of_its_own() -> None:
    labels = [phase.label for phase in Phase]
    assert len(set(labels)) == len(labels)
    assert all(label[0].isupper() and "_" not in label for label in labels)
