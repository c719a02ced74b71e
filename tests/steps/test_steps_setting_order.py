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


def test_the_largest_setting_waits_where_starting_with_it_would_come_back_to_it():
    three, one = (inches(3), "fence"), (inches(1), "fence")
    # One sheet wants 3 only, the other 1, 3, 1: largest first is 3, 1, 3, 1.
    cuts = {
        (0, 1): (three, None),
        (1, 1): (one, None),
        (1, 2): (three, (1, 1)),
        (1, 3): (one, (1, 2)),
    }
    assert [setting for setting, _ in setting_order(cuts)] == [one, three, one]
