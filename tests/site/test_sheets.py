"""Long lists cut into sheets: each thing stands on one, and they lead to one another."""

from __future__ import annotations

from sitegen.pages.sheets import ROOM, Sheet, sheets


def test_sheets_hold_a_list_in_order_and_lead_to_one_another() -> None:
    all_ = range(2 * ROOM + 1)
    first, second, third = "lists/all.html", "lists/all-2.html", "lists/all-3.html"
    assert list(sheets(all_, first)) == [
        Sheet(1, 3, first, "", second, all_[:ROOM]),
        Sheet(2, 3, second, first, third, all_[ROOM : 2 * ROOM]),
        Sheet(3, 3, third, second, "", all_[2 * ROOM :]),
    ]


def test_what_one_sheet_holds_is_cut_no_further() -> None:
    all_ = range(ROOM)
    assert list(sheets(all_, "all.html")) == [Sheet(1, 1, "all.html", "", "", all_)]
