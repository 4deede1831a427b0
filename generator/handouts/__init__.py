"""Handouts: from the views of pages to tagged PDFs on paper.

In order: rich.py (a page's texts as texts for paper), labels.py (words that templates print), fonts.py (the fonts
there are), typeset.py (data in, PDF/UA-1 and PDF/A-2a out), sheet.py (an exercise), groups.py (ladders, collections),
plan.py, pocket.py, booklet.py (small pages, and the same on sheets to fold), extras.py (diary, labels, wall chart),
tick.py (the chart of a dose), share.py (pictures for links), desk_sheet.py (codes that lead to pages), library.py
(all of them). What they look like is in typ/: base.typ (colours, page), pieces.typ (parts of an exercise), one file a
kind.
"""

from limberleaf.handouts.booklet import collection_booklet, fold_order, folded, plan_booklet
from limberleaf.handouts.extras import diary_handout, label_handout, wall_chart
from limberleaf.handouts.fonts import FontSet, find_fonts, font_findings
from limberleaf.handouts.groups import collection_handout, ladder_handout
from limberleaf.handouts.library import every_handout
from limberleaf.handouts.plan import booklet_of, plan_handout
from limberleaf.handouts.pocket import pocket_handout
from limberleaf.handouts.share import share_pictures
from limberleaf.handouts.sheet import Choice, exercise_handout
from limberleaf.handouts.tick import TickChart, tick_chart
from limberleaf.handouts.typeset import Handout, HandoutError, Typesetter

__all__ = [
    "Choice",
    "FontSet",
    "Handout",
    "HandoutError",
    "TickChart",
    "Typesetter",
    "booklet_of",
    "collection_booklet",
    "collection_handout",
    "diary_handout",
    "every_handout",
    "exercise_handout",
    "find_fonts",
    "fold_order",
    "folded",
    "font_findings",
    "label_handout",
    "ladder_handout",
    "plan_booklet",
    "plan_handout",
    "pocket_handout",
    "share_pictures",
    "tick_chart",
    "wall_chart",
]
