from __future__ import annotations

import re
from dataclasses import replace

from cut_trees import BOARD, KERF, SHEET, bill, crosscut, inch, job, keep, part, piece, plan, rip

from cutopt.model.job import Saw, SawKind, Shop
from cutopt.steps import cautions
from cutopt.steps.setups import visits

TABLE = Saw("table saw", SawKind.TABLE, KERF, rip_capacity=inch(30))
MITRE = Saw("mitre saw", SawKind.MITRE, KERF)
SHOP = Shop(kerf=KERF, saws=(TABLE, MITRE))


def planned(*pieces):
    return plan(job((bill("Kick", 1, 58, 3.5), bill("Slat", 1, 38, 3.5)), shop=SHOP), pieces)


def test_every_caution_is_at_most_two_sentences_and_shouts_nowhere():
    texts = [
        text for name, text in vars(cautions).items() if name.isupper() and isinstance(text, str)
    ]
    assert len(texts) > 10
    texts = [text for text in texts if " " in text and text.endswith(".")]
    for text in texts:
        assert len(re.findall(r"\.(?:\s|$)", text)) <= 2
        assert "!" not in text
        assert not re.search(r"\b[A-Z]{4,}\b", text)


def test_narrow_rips_bring_the_push_stick_onto_the_page():
    narrow = visits(planned(piece("S1", rip(3.5, part("Kick"), keep("S1-a")))))
    wide = visits(planned(piece("S1", rip(14, part("Kick"), keep("S1-a")))))
    assert cautions.NARROW in cautions.saw_cautions(narrow)
    assert cautions.NARROW not in cautions.saw_cautions(wide)


def test_short_pieces_bring_the_clamp_onto_the_page():
    stub = replace(SHEET, length=inch(7), width=inch(3))
    short = visits(planned(piece("S1", crosscut(5, part("Kick")), stub)))
    assert cautions.SHORT in cautions.saw_cautions(short)


def test_the_makers_manual_has_the_last_word():
    assert cautions.saw_cautions(())[-1] == cautions.MANUAL
    assert cautions.board_cautions()[-1] == cautions.MANUAL


def test_before_paying_sheets_are_measured_and_boards_sighted():
    sheet = piece("S1", rip(14, part("Kick"), keep("S1-a")))
    board = piece("L1", crosscut(38, part("Slat")), BOARD)

    def said(*pieces):
        return " ".join(
            str(word) for phrase in cautions.buy_cautions(planned(*pieces)) for word in phrase
        )

    assert "sight along" in said(board)
    assert "sight along" not in said(sheet)
    assert "measure one sheet" in said(sheet)
    assert cautions.LIFT in said(sheet, board)
    assert cautions.LIFT not in said(board)
    assert cautions.buy_cautions(planned()) == ()
