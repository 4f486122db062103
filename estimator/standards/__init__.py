"""What is published: sizes, measures and formulas of the trade, each figure with its source beside it.

| module | holds | tables |
|---|---|---|
| `sections` | sizes as written: `2x4`, `5/4x6`, `8/4`, `27 x 145 mm` | |
| `lumber_sizes` | nominal and rough to dressed sizes | softwood_dressed_sizes, hardwood_thickness |
| `board_measure` | board feet and surface measure | |
| `grade_yield` | NHLA hardwood grades and their least clear yield | hardwood_grades |
| `wood` | specific gravity, density, weight; woods with tannin or with sensitising dust | wood_density, wood_traits |
| `fasteners` | screw gauges, penetration, nails per pound, corrosion | nails |
| `coating` | spreading rates, film thickness, published losses and coverage | coating_ranges |
| `learning` | learning curves: unit time (Crawford) and cumulative average (Wright) | |
| `pricing` | margin, mark-up and overhead rate | |
| `cautions` | short safety cautions for printing | cautions |

A number that a standard or handbook fixes lives here; a number that a shop may argue with lives in the shop's own
tables. The column `status` of every table says how far a row can be trusted: `verified` was seen in the text named,
`derived` was computed from such a figure, `memory` was seen in no text and is checked by no test alone.
"""
