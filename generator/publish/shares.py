"""Pictures for links in messages, kept by what they show, so that a build sets only the new ones."""

from __future__ import annotations

from base64 import b64decode, b64encode

from limberleaf.handouts.share import FILE, share_cards, share_picture
from limberleaf.handouts.typeset import Typesetter
from limberleaf.pages import SiteContext
from limberleaf.store import Store, code_key, content_key


def share_files(context: SiteContext, store: Store) -> dict[str, str | bytes]:
    """Give the share picture of every exercise, ladder and collection page, by path below the site."""
    code = code_key("limberleaf", "limberleaf.diagrams")
    cards = {content_key("share", code, card.name, card.data): card for card in share_cards(context)}
    stored = store.read(cards)
    typesetter = Typesetter()
    drawn = {
        key: b64encode(share_picture(typesetter, card)).decode()
        for key, card in cards.items()
        if key not in stored
    }
    store.keep(drawn)
    return {f"{card.name}{FILE}": b64decode(drawn.get(key) or stored[key]) for key, card in cards.items()}
