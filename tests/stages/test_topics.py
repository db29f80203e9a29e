"""What 'animator parts' explains is what the reader reads."""

import pytest

from animator.parts._contract import PARTS
from animator.parts._fields import Words, keys_of, meaning_of
from animator.scene import read_all
from animator.scene.claims import FINDINGS, LATER, MEASURES
from animator.scene.kinds import tell_kind
from animator.scene.topics import FOUND, MEASURED, TOPICS, find_topic, tell_topic

BASE = """
parts:
  camshaft: {kind: shaft, at: [100, 60]}
  handle: {kind: handle, on: camshaft, speed: 40 rpm}
  lift cam: {kind: cam, on: camshaft, eccentric: {radius: 20, throw: 8}}
  lifter: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft}, spring: {preload: 1 N}}
"""


def every_record(cls=Words):
    for each in cls.__subclasses__():
        yield each
        yield from every_record(each)


@pytest.mark.parametrize("name", TOPICS)
def test_lines_to_copy_can_be_pasted(name):
    copy = TOPICS[name].copy
    text = copy if copy.startswith("title:") else f"title: t{BASE}{copy}\n"
    assert read_all("copied.yaml", text=text)


@pytest.mark.parametrize("name", TOPICS)
def test_topic_is_told_within_the_width(name):
    told = list(tell_topic(name, 80))
    before = told[: told.index("  To copy:")]
    assert told[0] == name
    assert len(before) > 4
    assert max(map(len, before)) <= 80


def test_no_word_leads_to_two_topics_or_hides_a_kind():
    words = [word for name, topic in TOPICS.items() for word in (name, *topic.words)]
    assert len(words) == len(set(words))
    assert not set(words) & set(PARTS)
    assert find_topic("laws") == "programme"
    assert find_topic("zebra") is None


def test_every_measure_and_finding_is_explained():
    assert set(MEASURED) == set(MEASURES) - set(LATER)
    assert set(FOUND) == set(FINDINGS)


@pytest.mark.parametrize("kind", PARTS)
def test_every_field_of_a_kind_says_what_it_means(kind):
    cls = PARTS[kind]
    assert not [field for field in keys_of(cls).values() if not meaning_of(cls, field)]
    told = "\n".join(tell_kind(kind))
    needed = [
        key for key, field in keys_of(cls).items() if cls.model_fields[field].is_required()
    ]
    assert all(f"  {key}*" in told for key in needed if key != "kind")


def test_meanings_and_examples_are_of_fields_that_exist():
    for cls in every_record():
        for table in (cls.__dict__.get("says", {}), cls.__dict__.get("examples", {})):
            assert set(table) <= set(cls.model_fields), cls
