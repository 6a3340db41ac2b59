"""What of each table a customer is given: a column that is not named here stays.

What is about the customer or was said to them goes out. How the shop reckons, what its
hours and its steel came to, and what would open something does not. A test asks of
every table that hangs on a customer whether it stands here.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

GIVEN: Mapping[str, str] = MappingProxyType(
    {
        "Customer": "id name email phone address business country vat_number erased "
        "unnamed language note",
        "Order": "id number customer state wish promised_week wanted_week named_price "
        "agreed deposit_due created",
        "Knife": "id order name serial mark stage replaces family length height "
        "heel_thickness middle_thickness tip_thickness grind behind_edge edge_angle "
        "forging tang neck_length tang_length handle handle_material handle_length "
        "ferrule bolster_mass hardness finish note typed",
        "AgreedChange": "id order knife wish values more fee new_week state how "
        "made_at answered_at",
        "CustomerLink": "id order made_at expires_on revoked_at used_at",
        "CustomerQuestion": "id order text at answered_at",
        "Payment": "id at taken_back order amount back received_on reference",
        "QuoteDraft": "id order currency mode kind regime valid_until discount_reason",
        "Extra": "id draft position key label",
        "Variant": "id draft position label knife handle handle_material ferrule "
        "bolster_mass",
        "Paper": "id sha256 media kind order knife revision made_at",
        "Quote": "id order revision issued_at valid_until kind mode regime currency "
        "net tax_rate tax total deposit taxes changes paper",
        "QuoteLine": "id quote position kind serial label detail amount net gross "
        "percent",
        "QuoteOption": "id quote position label detail serial values mass balance "
        "amount net tax total deposit",
        "QuoteAnswer": "id quote accepted option typed_name sha256 note at",
        "Invoice": "id order quote kind number issued_on supplied_on due_on currency "
        "regime seller buyer net tax gross paid due taxes note cancels paper at",
        "InvoiceLine": "id invoice position kind label detail quantity net percent "
        "category",
        "DeductedAdvance": "id final advance net tax gross received_on",
        "Mail": "id order kind paper to subject body state error at",
        "StageEvent": "id knife came_from stage correction reason at",
        "WorkRecord": "id at taken_back knife stage",
        "Entry": "id at taken_back knife kind",
        "Photo": "id at taken_back knife stage width height note shown final",
        "Mail_photos": "id mail photo",
    }
)
"""Columns that go out, table by table."""

WRITERS = frozenset({"by", "taken_back_by", "version", "folded"})
"""Columns of any table that stay here: who of the shop wrote, and what helps search."""

HELD: Mapping[str, str] = MappingProxyType(
    {
        "Knife": "target allowance",
        "AgreedChange": "passed",
        "CustomerLink": "digest",
        "QuoteDraft": "discount_percent discount asked step",
        "Extra": "amount percent",
        "Variant": "more",
        "Paper": "content",
        "Quote": "basis",
        "StageEvent": "gate_passed",
        "WorkRecord": "row hands_on waiting again driver",
        "Entry": "value typed",
        "Photo": "name sha256 small_sha256",
    }
)
"""Columns that stay: how the shop reckons and works, and what would open something."""

INSIDE: Mapping[tuple[str, str], frozenset[str]] = MappingProxyType(
    {
        ("AgreedChange", "values"): frozenset(
            {"columns", "typed", "told", "agreed", "total", "currency", "number",
             "week_before"}
        ),
    }
)  # fmt: skip
"""Columns that hold several things, of which some go out."""
