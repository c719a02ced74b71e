from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.steps.setting_order import setting_order
from cutopt.units import inches


def fewest(cuts):
    """The fewest settings, by every order there is: breadth first over what has been cut.

    All ready cuts of a setting are made with it: to leave one for later never helps.
    """
    edge, count = {frozenset()}, 0
    while not any(len(done) == len(cuts) for done in edge):
        ahead = set()
        for done in edge:
            for setting in {setting for setting, _ in cuts.values()}:
                now = set(done)
                for place, (with_setting, before) in sorted(cuts.items()):
                    if with_setting == setting and (before is None or before in now):
                        now.add(place)
                ahead.add(frozenset(now))
        edge, count = ahead, count + 1
    return count


@st.composite
def bench_work(draw):
    """Up to ten cuts of a few sheets at one saw with four settings; a cut follows an earlier."""
    cuts = {}
    for number in range(draw(st.integers(1, 10))):
        before = draw(st.none() | st.sampled_from(sorted(cuts))) if cuts else None
        cuts[0, number] = ((inches(draw(st.integers(1, 4))), "fence"), before)
    return cuts


@settings(max_examples=150, derandomize=True, deadline=None)
@given(bench_work())
def test_no_order_of_a_small_job_has_fewer_settings(cuts):
    order = setting_order(cuts)
    assert len(order) == fewest(cuts)
    made = set()
    for setting, places in order:
        for place in places:
            assert cuts[place][0] == setting
            assert cuts[place][1] is None or cuts[place][1] in made
            made.add(place)
    assert made == set(cuts)


def test_largest_first_would_come_back_to_a_setting_once_too_often():
    three, two, one = ((inches(size), "fence") for size in (3, 2, 1))
    # Sheet 0: 3, 1, 2; sheet 1: 2, 3; sheet 2: 1, 3. One order of four settings serves all.
    cuts = {
        (0, 1): (three, None), (0, 2): (one, (0, 1)), (0, 3): (two, (0, 2)),
        (1, 1): (two, None), (1, 2): (three, (1, 1)),
        (2, 1): (one, None), (2, 2): (three, (2, 1)),
    }  # fmt: skip
    assert len(setting_order(cuts)) == fewest(cuts)
