"""Figures about the radio link: section ``receiver`` of what rules see as ``derived``.

::

    link                the protocol the dump expects, in small letters
    speaks.NAME         every device of the build sheet: what it can speak, in small letters
    channels            how many radio channels the link carries
    order               the first four channels as the dump takes them ("AETR")
    radio_order         the same as the radio sends them
    order_to_set        the dump's order with the radio's four letters in front
"""

from __future__ import annotations

from cfgaudit.derive.links import LINKS
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, entries, whole, word, words

_STICKS = 4


def receiver(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    link = word(model, "receiver", "link").lower()
    order = word(model, "receiver", "channel_order").upper()
    radio_order = word(build, "radio", "channel_order").upper()
    unknown = Missing(("build.radio.channel_order",))
    return {
        "link": link or Missing(("model.receiver.link",)),
        "speaks": {
            word(device, "name") or word(device, "kind"): [one.lower() for one in words(device, "speaks")]
            for _, device in entries(build, "devices")
        },
        "channels": _channels(model, link),
        "order": order[:_STICKS] or Missing(("model.receiver.channel_order",)),
        "radio_order": radio_order[:_STICKS] or unknown,
        "order_to_set": radio_order[:_STICKS] + order[_STICKS:] if radio_order else unknown,
    }


def _channels(model: Tree, link: str) -> Figure:
    channels = whole(model, "receiver", "channels")
    if channels is not None:
        return channels
    known = LINKS.get(link)
    if known:
        return known.channels
    needs = ("model.receiver.channels",) if link else ("model.receiver.channels", "model.receiver.link")
    return Missing(needs)
