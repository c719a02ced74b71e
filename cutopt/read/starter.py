"""A starter job: three commented files that plan as they are."""

from __future__ import annotations

from cutopt.units import Units

_SETTINGS = """\
# A job: what to make, what it may be made of, and who saws it.
# Lines that start with # are remarks. Take the # off a setting to use it.

name = "Potting bench"
units = "{units}"  # what a number without a unit means: inch or mm
budget = {budget}  # optional; or from and to: [{low}, {budget}]
currency = "USD"
parts = "parts.csv"  # the bill of parts
stock = "stock.csv"  # what may be bought, and what is in the shop already
# cutouts = "cutouts.csv"  # notches, openings and holes
# extras = "extras.csv"  # screws, hinges, castors: bought, not cut
# favour = "work"  # after money: offcuts (large leftovers) or work (few set-ups)
# confidence = 0.95  # buy spare boards, so that all parts come out this surely: see cutopt grades

# The store's panel saw. Without this table the store cuts nothing.
[store]
free_cuts = 3  # on each sheet bought
fee_per_cut = 0.50  # for each cut past those
accuracy = {accuracy}  # how far off its cuts may be
rough = true  # a store edge is cut again at home before it is a part's edge
allowance = {accuracy}  # what that takes off, your saw's kerf included
smallest_piece = {smallest}     # the store cuts nothing shorter or narrower

# What the car takes.
[carry]
length = {car_length}
width = {car_width}
boards = {car_boards}

# What is at home.
[shop]
kerf = {kerf}  # what a saw takes off, where a saw below does not say
smallest_offcut = [{keep_long}, {keep_short}]  # anything smaller is waste

[[shop.saws]]
kind = "table saw"
rip_capacity = {rip}  # widest strip the fence lets through
# kerf = {thin}

[[shop.saws]]
kind = "mitre saw"
crosscut_capacity = {crosscut}  # widest board it cuts across

[[shop.saws]]
kind = "track saw"
cut_length = {track}  # as long as its guide
"""

_WORDS = {
    Units.INCH: {
        "units": "inch",
        "budget": "90.00",
        "low": "75.00",
        "accuracy": "'1/8\"'",
        "smallest": "'12\"'",
        "car_length": '"5ft 6in"',
        "car_width": "'40\"'",
        "car_boards": '"10ft"',
        "kerf": "'1/8\"'",
        "thin": "'3/32\"'",
        "keep_long": "'12\"'",
        "keep_short": "'4\"'",
        "rip": "'24\"'",
        "crosscut": "'12\"'",
        "track": "'52\"'",
    },
    Units.MM: {
        "units": "mm",
        "budget": "90.00",
        "low": "75.00",
        "accuracy": '"3.2 mm"',
        "smallest": '"300 mm"',
        "car_length": '"1.7 m"',
        "car_width": '"1 m"',
        "car_boards": '"3 m"',
        "kerf": '"3.2 mm"',
        "thin": '"2.4 mm"',
        "keep_long": '"300 mm"',
        "keep_short": '"100 mm"',
        "rip": '"610 mm"',
        "crosscut": '"305 mm"',
        "track": '"1400 mm"',
    },
}

_PARTS = {
    Units.INCH: """\
part,qty,length,width,thickness,material,grain,band,group,note
Worktop,1,47-1/2,23-1/4,3/4,exterior plywood,length,front,Top,
Back splash,1,47-1/2,8,3/4,exterior plywood,length,,Top,
Lower shelf,1,43-1/2,20,3/4,exterior plywood,length,,Frame,
Shelf lip,2,20,3-1/2,3/4,exterior plywood,,,Frame,
Leg,4,34-1/4,,,2x4,,,Frame,feet get a dab of glue against damp
Long rail,4,43-1/2,,,2x4,,,Frame,
Short rail,4,17,,,2x4,,,Frame,
""",
    Units.MM: """\
part,qty,length,width,thickness,material,grain,band,group,note
Worktop,1,1205,590,18,exterior plywood,length,front,Top,
Back splash,1,1205,205,18,exterior plywood,length,,Top,
Lower shelf,1,1105,510,18,exterior plywood,length,,Frame,
Shelf lip,2,510,90,18,exterior plywood,,,Frame,
Leg,4,870,,,framing timber,,,Frame,feet get a dab of glue against damp
Long rail,4,1105,,,framing timber,,,Frame,
Short rail,4,430,,,framing timber,,,Frame,
""",
}

# Prices are invented: they only show where yours go.
_STOCK = {
    Units.INCH: """\
stock,kind,material,length,width,thickness,section,price,owned,grain,band,note
Plywood 4x8,sheet,exterior plywood,96,48,23/32,,58.00,,length,1/64,invented price
Plywood 4x4,sheet,exterior plywood,48,48,23/32,,36.00,,length,,invented price
2x4 8 ft,board,framing lumber,8',,,2x4,4.20,,,,invented price
2x4 10 ft,board,framing lumber,10',,,2x4,5.80,,,,invented price
2x4 offcut,board,framing lumber,38-1/2,,,2x4,,yes,,,in the shop already
""",
    Units.MM: """\
stock,kind,material,length,width,thickness,section,price,owned,grain,band,note
Plywood 2440x1220,sheet,exterior plywood,2440,1220,18,,58.00,,length,0.5,invented price
Plywood 1220x1220,sheet,exterior plywood,1220,1220,18,,36.00,,length,,invented price
Timber 2.4 m,board,framing timber,2400,90,45,,4.20,,,,invented price
Timber 3 m,board,framing timber,3000,90,45,,5.40,,,,invented price
Timber offcut,board,framing timber,980,90,45,,,yes,,,in the shop already
""",
}


def starter_files(units: Units) -> dict[str, str]:
    """Give the files of a starter job, name to text; its prices are invented and say so."""
    return {
        "job.toml": _remarks_in_line(_SETTINGS.format(**_WORDS[units])),
        "parts.csv": _PARTS[units],
        "stock.csv": _STOCK[units],
    }


def _remarks_in_line(text: str) -> str:
    """Give the settings with the remarks behind them one below the other."""
    lines = []
    for line in text.splitlines():
        setting, mark, remark = line.partition("  # ")
        lines.append(f"{setting.rstrip():<40}# {remark}" if mark and setting.strip() else line)
    return "\n".join(lines) + "\n"
