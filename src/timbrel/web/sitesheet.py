"""The site sheet: one file with everything in it, that opens from a phone's storage.

A browser does not load modules from files beside a page that it opened from storage. So the
scripts stand in the page as plain texts, a small classic script gives each an address of its own
(a Blob), names them in an import map, and starts the last one.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

from timbrel.verdict import governing_first, overall
from timbrel.web.pages import HERE, render
from timbrel.web.scene import scene
from timbrel.web.tables import card, leaves
from timbrel.words import Voice

if TYPE_CHECKING:
    from timbrel.plan import Plan

MODULES = {
    "three-core": "vendor/three.core.min.js",
    "three": "vendor/three.module.min.js",
    "orbit": "vendor/OrbitControls.js",
    "timbrel/solid": "solid.js",
    "timbrel/flat": "flat.js",
    "timbrel/vault": "vault.js",
}
"""Name of each module in the import map, and its file."""
DRAWN = re.compile(
    r"general-plan|section|bond-layer|corner-layer|wall|rib|wedge|bond-plan|bond-web|guide|seat"
)
"""Drawings that a crew works from; the rest are in the pack."""
LEAVES = ("tonight", "setting-out", "centring", "programme", "stages", "order")


def site_sheet_of(plan: Plan, voice: Voice, revision: str = "sheet") -> str:
    """The whole file as text."""
    from timbrel.sheets.drawings import drawings
    from timbrel.sheets.face import face, lettered, letters_of

    shown = [picture for name, picture in drawings(plan, voice).items() if DRAWN.match(name)]
    rules = face(letters_of(picture.svg for picture in shown))
    drawn = [(picture.title, lettered(picture.svg, rules)) for picture in shown]
    return render(
        "sitesheet.html",
        voice,
        title=plan.job.job,
        checks=governing_first(plan.checks),
        overall=overall(plan.checks),
        site=plan.site,
        card=[block for block in card(plan, voice).blocks if block["kind"] != "caution"],
        leaves=[leaf for leaf in leaves(plan, voice) if leaf.name in LEAVES],
        drawn=drawn,
        style=_text("notebook.css") + _text("sitesheet.css"),
        modules={name: _module(file) for name, file in MODULES.items()},
        start=_text("sitesheet.js"),
        open_modules=_text("open_modules.js"),
        model=_json(scene(plan, voice, revision)),
    )


def _text(file: str) -> str:
    return (HERE / "static" / file).read_text(encoding="utf-8")


def _module(file: str) -> str:
    """A module's text: its neighbour by its name in the map, and nothing that ends a script."""
    text = _text(file).replace('"./three.core.min.js"', '"three-core"')
    return text.replace("</script", "<\\/script").replace("<!--", "<\\!--")


def _json(value: Any) -> str:
    return json.dumps(value, separators=(",", ":")).replace("<", "\\u003c")
