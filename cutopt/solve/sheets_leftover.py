"""What is left over in one large piece, then little work at the saw; or the other way round.

The sheets stay as they are. The largest leftover is sought among complete plans; then the
sheet with most room is used only so far, ever less of it, while all parts still find a
place. With that room held free, few settings and cuts are sought.
"""

from __future__ import annotations

from cutopt.model.job import Favour
from cutopt.solve.sheets_dive import Plan, Words
from cutopt.solve.sheets_kernel import Floor, Goal, Judged, Kernel, Taste

_ROOM = Goal(largest=1.0, gathered=0.15, work=0.0, hot=0.3, cold=0.005)
_WORK = Goal(largest=0.0, gathered=0.0, work=1.0, hot=0.5, cold=0.05)
_TASTE = Taste(taken=4.0)
_TIGHT = (0.05, 0.005)
_FINEST = 256
_HELPERS = 7
_LEAST_ROUNDS = 200

Extents = dict[int, tuple[int, int]]


class Tidying:
    """The search for a tidier plan on the same sheets."""

    def __init__(self, kernel: Kernel, worth_keeping: tuple[int, int, int], looks: int) -> None:
        """Take a kernel and its orders.

        Args:
            kernel: of the problem.
            worth_keeping: kerf, and the least long and short side of a leftover that counts.
            looks: work allowed.
        """
        self.kernel = kernel
        self.worth_keeping = worth_keeping
        self.looks = looks

    def tidied(self, plan: Plan, favour: Favour) -> Plan:
        """Give a plan on the same sheets, never worse by what the favour puts first."""
        if favour is Favour.WORK:
            plan = self._annealed(plan, _WORK, 0.6)
            return self._annealed(plan, _ROOM, 0.4, most_work=self._judged(plan).work)
        plan = self._gathered(self._annealed(plan, _ROOM, 0.3))
        return self._annealed(plan, _WORK, 0.3, least_largest=self._judged(plan).largest)

    def _floor(self, plan: Plan, extents: Extents | None = None) -> Floor:
        return self.kernel.floor(
            [sheet for sheet, _ in plan], [words for _, words in plan], extents=extents
        )

    def _extent(self, words: Words, kind: int) -> tuple[int, int]:
        """Give the length and width a pattern takes on a type of sheet."""
        return self.kernel.sizes.extent(self.kernel.block(words, kind))

    def _judged(self, plan: Plan) -> Judged:
        return self.kernel.judge(self._floor(plan), self.worth_keeping)

    def _annealed(
        self,
        plan: Plan,
        goal: Goal,
        share: float,
        *,
        least_largest: float = 0.0,
        most_work: float = float("inf"),
    ) -> Plan:
        """Give the plan annealed by a goal, a leftover held free or the work held down."""
        extents = self._extents(plan, least_largest) if least_largest else {}
        floor = self._floor(plan, extents)
        self.kernel.tidy(
            floor,
            goal,
            self.worth_keeping,
            _TASTE,
            self._rounds(share),
            least_largest=0.0 if extents else least_largest,
            most_work=most_work,
        )
        found = self.kernel.words_on(floor)
        return found if self._judged(found).largest >= least_largest else plan

    def _extents(self, plan: Plan, largest: float) -> Extents:
        """Give what a sheet may be used up to so that a strip of it stays the largest leftover."""
        kerf = self.worth_keeping[0]
        for sheet, (kind, words) in enumerate(plan):
            whole = self.kernel.sizes.types[kind]
            length, width = self._extent(words, kind)
            if (whole.length - length - kerf) * (whole.width - kerf) == largest:
                return {sheet: (length, whole.width)}
            if (whole.width - width - kerf) * (whole.length - kerf) == largest:
                return {sheet: (whole.length, width)}
        return {}

    def _rounds(self, share: float) -> int:
        pace = 1_500 + 60 * self.kernel.count
        return max(_LEAST_ROUNDS, int(self.looks * share / pace))

    def _gathered(self, plan: Plan) -> Plan:
        """Give the plan with the emptiest sheet used as little as can be, if that leaves more."""
        best, most = plan, self._judged(plan).largest
        types = self.kernel.sizes.types
        room = [types[t].area - self.kernel.block(words, t).area for t, words in plan]
        chosen = max(range(len(plan)), key=lambda s: (room[s], -s))
        for lengthwise in (True, False):
            found = self._shortened(plan, chosen, sum(room), lengthwise=lengthwise)
            largest = self._judged(found).largest
            if largest > most:
                best, most = found, largest
        return best

    def _shortened(self, plan: Plan, chosen: int, room: float, *, lengthwise: bool) -> Plan:
        """Give the plan with a sheet used as little along one side as was found."""
        kernel = self.kernel
        kind = plan[chosen][0]
        sheet = kernel.sizes.types[kind]
        whole, other = (sheet.length, sheet.width) if lengthwise else (sheet.width, sheet.length)

        def used(plan: Plan) -> int:
            length, width = self._extent(plan[chosen][1], kind)
            return length if lengthwise else width

        high = used(plan)
        low = max(0, whole - int(room // other))
        step = max((high - low) // 4, 1)
        end = kernel.work + int(0.2 * self.looks)
        rounds = self._rounds(0.02)
        while step > whole // _FINEST and kernel.work < end and not kernel.stopped():
            upto = high - step
            shorter = self._within(
                plan,
                chosen,
                (upto, sheet.width) if lengthwise else (sheet.length, upto),
                rounds,
            )
            if shorter is None:
                step //= 2
                continue
            if len(shorter) < len(plan):
                return shorter
            plan = shorter
            high = min(upto, used(plan))
            step = min(step, max((high - low) // 2, 1))
        return plan

    def _within(self, plan: Plan, chosen: int, extent: tuple[int, int], rounds: int) -> Plan | None:
        """Give the plan with a sheet used no further than this, or None if none was found.

        Its parts are laid among themselves, then with the fullest of the other sheets' help.
        """
        kernel = self.kernel
        types = kernel.sizes.types
        others = sorted(
            (s for s in range(len(plan)) if s != chosen),
            key=lambda s: (kernel.block(plan[s][1], plan[s][0]).area - types[plan[s][0]].area, s),
        )
        for near in ([], others[:_HELPERS]) if others else ([],):
            group = [chosen, *near]
            made = [0] * len(kernel.sizes.kinds)
            for s in group:
                for word in plan[s][1].tolist():
                    if word >= 0:
                        made[word >> 1] += 1
            length, width = self._extent(plan[chosen][1], plan[chosen][0])
            fits = length <= extent[0] and width <= extent[1]
            floor = kernel.floor(
                [plan[s][0] for s in group],
                [plan[s][1] if fits or s != chosen else plan[s][1][:0] for s in group],
                made,
                {0: extent},
            )
            if kernel.fill(floor, _TASTE, _TIGHT, rounds) <= 0.0:
                return self._put_back(plan, group, floor)
        return None

    def _put_back(self, plan: Plan, group: list[int], floor: Floor) -> Plan:
        """Give the plan with some sheets laid anew, in their old places unless one came free."""
        laid = {
            group[place]: words for place, words in enumerate(self.kernel.words_by_sheet(floor))
        }
        return [
            (kind, laid.get(sheet, words))
            for sheet, (kind, words) in enumerate(plan)
            if len(laid.get(sheet, words))
        ]
