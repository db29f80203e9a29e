"""Proposals for the tests to read, each made once a session."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from animator.findings.examining import Checked, read_for_check, run_and_check, run_and_examine
from animator.proposals.making import Proposal
from animator.scene import read_all
from animator.world.assembling import assemble

SCENES = Path(__file__).resolve().parent.parent.parent / "scenes"
HOSTILE = """
title: "<b>Rock & roll</b>"
about: 'Not a "tag": </style><script>alert(1)</script>'
maker: <img src=x onerror=alert(2)>
client: "& sons"
parts:
  shaft: {kind: shaft, at: [60, 50], material: steel 5, bearing: {ball: yes}}
  handle: {kind: handle, on: shaft, radius: 40, speed: 240 rpm}
  crank: {kind: crank, on: shaft, radius: 18, material: brass 3}
  rod: {kind: rod, from: crank.pin, to: ram.pin, length: 70, material: brass 3}
  ram: {kind: slider, slides: right, length: 70, material: birch 10, guide: {at: 110 right of shaft, ideal: yes}}
run: 1 turns
variants:
  right: {expect: [ram.travel = 36 mm within 0.1 mm, no jam]}
  wrong: {expect: [ram.travel >= 50 mm]}
"""


@cache
def checked(name: str, variant: str | None = None) -> Checked:
    return run_and_check(read_for_check(SCENES / f"{name}.yaml", variant), ())


@cache
def proposal(name: str, *, has_others: bool = False, is_draft: bool = True) -> Proposal:
    others = []
    if has_others:
        scenes = read_all(SCENES / f"{name}.yaml")
        names = [each for each in scenes if each is not None]
        pairs = run_and_examine([assemble(scenes[each]) for each in names])
        others = [(each, *pair) for each, pair in zip(names, pairs, strict=True)]
    said = {"maker": "Mathilde Weir", "client": "The ferry inn", "date": "3 March 2026"}
    return Proposal(checked(name), others, said, is_draft=is_draft)


@cache
def page(name: str, *, has_others: bool = False) -> bytes:
    return proposal(name, has_others=has_others).page()[0]
