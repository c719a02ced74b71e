"""What must hold of the lists whatever the tree: nothing lost, nothing twice, nothing too soon."""

from __future__ import annotations

from cut_trees import (
    ANY,
    KERF,
    SHEET,
    bill,
    crosscut,
    inch,
    job,
    keep,
    part,
    piece,
    plan,
    rip,
    store_crosscut,
    store_rip,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.model.job import Saw, SawKind, Shop
from cutopt.model.plan import Cut, Maker, walk
from cutopt.steps.labels import offcut_labels, part_labels
from cutopt.steps.letters import name_pieces
from cutopt.steps.setups import visits

SAWS = (
    Saw("table saw", SawKind.TABLE, KERF, rip_capacity=inch(24)),
    Saw("mitre saw", SawKind.MITRE, KERF),
    Saw("track saw", SawKind.TRACK, KERF),
)


@st.composite
def trees(draw, store=True, depth=0):
    """A tree of up to five levels, the cuts near the root by the store or not."""
    if depth == 5 or (depth > 1 and draw(st.integers(0, 2)) == 0):
        return draw(st.sampled_from([part("Shelf"), part("Kick"), keep("S1-a"), None]))
    by_store = store and draw(st.booleans())
    first, second = draw(trees(by_store, depth + 1)), draw(trees(by_store, depth + 1))
    at = draw(st.integers(2, 5)) / (depth + 1)
    along = draw(st.booleans())
    if by_store:
        return (store_crosscut if along else store_rip)(at, first, second)
    saw = draw(st.sampled_from([*(saw.name for saw in SAWS), ANY]))
    return (crosscut if along else rip)(at, first, second, saw=saw)


PARTS = (bill("Shelf", 1, 40, 15), bill("Kick", 1, 58, 3.5))


def sheet_of(tree):
    return piece("S1", tree, SHEET)


def parents_of(root):
    return {
        side.step: placed.node.step
        for placed in walk(root)
        if isinstance(placed.node, Cut)
        for side in (placed.node.first, placed.node.second)
        if isinstance(side, Cut)
    }


@settings(max_examples=60, deadline=None)
@given(trees())
def test_every_cut_at_home_is_made_once_and_after_its_parent(tree):
    sheet = sheet_of(tree)
    walked = visits(plan(job(PARTS, shop=Shop(kerf=KERF, saws=SAWS)), (sheet,)))
    parent = parents_of(sheet.layout)
    made = [cut.step for cut in sheet.cuts() if cut.by is Maker.STORE]
    saw_of = {cut.step: cut.saw for cut in sheet.cuts()}
    for visit in walked:
        for setup in visit.setups:
            for step in sorted(step for line in setup.lines for step in line.steps):
                assert saw_of[step] == visit.saw
                assert step not in made
                assert parent.get(step) is None or parent[step] in made
                made.append(step)
    assert sorted(made) == [cut.step for cut in sheet.cuts()]
    numbers = [setup.number for visit in walked for setup in visit.setups]
    assert numbers == list(range(1, len(numbers) + 1))


@settings(max_examples=60, deadline=None)
@given(trees())
def test_pieces_that_lie_on_the_floor_together_never_share_a_name(tree):
    sheet = sheet_of(tree)
    named = name_pieces(sheet)
    floor = [piece_.letter for piece_ in named.floor]
    assert len(set(floor)) == len(floor)
    for cut in sheet.cuts():
        if cut.by is Maker.STORE:
            continue
        around = named.cuts[cut.step]
        floor.remove(around.before)
        floor += [name for name in (around.first, around.second) if name is not None]
        assert len(set(floor)) == len(floor)


@settings(max_examples=60, deadline=None)
@given(trees())
def test_every_part_and_every_offcut_has_a_label(tree):
    sheet = sheet_of(tree)
    a_plan = plan(job(PARTS), (sheet,))
    leaves = [placed.node for placed in walk(sheet.layout)]
    assert len(part_labels(a_plan)) == sum(type(n).__name__ == "PartPiece" for n in leaves)
    assert len(offcut_labels(a_plan)) == sum(type(n).__name__ == "Offcut" for n in leaves)
