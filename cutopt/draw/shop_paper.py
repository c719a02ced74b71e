"""The pages of one shop sheet as they are opened: head, title, and what goes before a drawing."""

from __future__ import annotations

from collections.abc import Mapping

from cutopt.draw import frame
from cutopt.draw.frame import Field, Look
from cutopt.draw.lines import GAP, line_of, marked_size, wrap_line
from cutopt.draw.scene import Drawing, Style
from cutopt.draw.shop_legend import draw_legend
from cutopt.draw.shop_runs import draw_run_notes
from cutopt.draw.typeset import Piece, set_line
from cutopt.model.job import Grain, Part
from cutopt.model.plan import ANY_SAW, Plan
from cutopt.steps.materials import material_words
from cutopt.steps.phrase import counted, listed
from cutopt.steps.runs import run_places
from cutopt.steps.shop import ShopSheet
from cutopt.units import Units

KIND = "shop sheet"
CLOSE = 3.0
"""How much closer a title stands to what is over it on a page that is shared, points."""


class ShopPaper:
    """The pages of one distinct sheet; the last one opened is being filled.

    Attributes:
        shared: its pages are to stand with others on one: no frame, no legend of their own.
    """

    def __init__(
        self, sheet: ShopSheet, plan: Plan, parts: Mapping[str, Part], look: Look, *, shared: bool
    ) -> None:
        """Take a sheet; no page is open yet."""
        self.sheet = sheet
        self.parts = parts
        self.look = look
        self.shared = shared
        self.units = look.units
        self.pages: list[Drawing] = []
        self.rough = plan.job.store is not None and plan.job.store.rough
        self.grain = sheet.stock.grain is Grain.LENGTH
        self.places = run_places(plan.job)
        self._plan = plan

    @property
    def drawing(self) -> Drawing:
        """The page that is being filled."""
        return self.pages[-1]

    @property
    def field(self) -> Field:
        """What head and foot leave free."""
        return frame.field_of(self.drawing)

    def open(self, *, keyed: bool) -> float:
        """Open a page with head and title; give the y where content may begin."""
        number = len(self.pages) + 1
        name = f"shop-{self.sheet.ids[0]}" + (f"-{number}" if number > 1 else "")
        if self.shared:
            width, height = self.look.paper.size
            drawing = Drawing(height, width, name)
        else:
            drawing = frame.start_page(self.look, KIND, name, landscape=True)
        self.pages.append(drawing)
        sheet, stock = self.sheet, self.sheet.stock
        many = len(sheet.ids) > 1
        kinds = f" of {sheet.kinds} kinds" if keyed and sheet.kinds > 1 else ""
        counts = (
            f"{counted(sheet.parts, 'part')}{kinds}{GAP}"
            f"{counted(len(sheet.cuts), 'cut') if sheet.cuts else 'no cuts'} "
            f"{'each' if many else 'here'}"
        )
        y = frame.title(
            drawing, line_of(material_words(stock.material), self.units), self.units,
            tag=sheet.ids[0],
            counts=counts, conditions=self._conditions(keyed=keyed),
            top=frame.field_of(drawing).top + (CLOSE if self.shared else 0.0),
        )  # fmt: skip
        if many and number == 1:
            words = f"Cut {len(sheet.ids)} {stock.kind}s alike: {listed(sheet.ids)}."
            field = frame.field_of(drawing)
            for line in wrap_line(words, 11.5, field.width, Style.BOLD):
                set_line(drawing, field.left, y - 8, line, 11.5, Style.BOLD)
                y -= 15
        return draw_run_notes(drawing, sheet, self.parts, y) if number == 1 else y

    def legend(self, y: float) -> float:
        """Draw samples of the signs used here; give the y under them."""
        if self.shared:
            return y
        return draw_legend(self.drawing, (self.sheet,), self.parts, y, rough=self.rough)

    def _conditions(self, *, keyed: bool) -> tuple[Piece, ...]:
        """Give the small line of the title: size, kerfs, units, what changed."""
        sheet, stock = self.sheet, self.sheet.stock
        conditions: list[Piece] = [*marked_size(stock.length, stock.width, self.units), GAP]
        kerfs = self._kerfs()
        if kerfs:
            conditions += ["kerf ", *line_of(kerfs, self.units), GAP]
        conditions.append("all sizes in " + ("inches" if self.units is Units.INCH else "mm"))
        if keyed:
            conditions.append(f"{GAP}numbers: see the key")
        replans = self._plan.replans
        if replans is not None and set(sheet.ids) & set(replans.changed):
            conditions.append(
                GAP + ("changed: not as on the page before" if stock.owned else "new")
            )
        return tuple(conditions)

    def _kerfs(self) -> tuple[int | str, ...]:
        """Give the kerfs of the saws used here, smallest first, as words and ticks."""
        shop = self._plan.job.shop
        by_name = {saw.name: saw.kerf for saw in shop.saws}
        used = sorted(
            {
                shop.kerf if cut.cut.saw == ANY_SAW else by_name.get(cut.cut.saw, shop.kerf)
                for cut in self.sheet.cuts
            }
        )
        words: list[int | str] = []
        for number, kerf in enumerate(used):
            words += [" and ", kerf] if number else [kerf]
        return tuple(words)
