import pytest, io
from django.core.management import call_command
from billets.models import Steel, BarSize, Plan, Equipment
from tests.factories import PlanFactory

pytestmark = [pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("width,far", [(1200, 0), (380, 1)])
def test_shot(page, live_server, width, far):
    call_command("load_steels", stdout=io.StringIO())
    plan = PlanFactory()
    for letter, k in (("A", "1084"), ("B", "15n20")):
        row = plan.bars.get(letter=letter)
        st = Steel.objects.get(key=k)
        row.bar = BarSize.objects.get_or_create(
            steel=st, thickness=row.bar.thickness, width=row.bar.width
        )[0]
        row.save()
    if far:
        plan.targets.create(label="x", needed=0.2, hardness=67.0)
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(live_server.url + plan.get_absolute_url())
    for s in ("steels", "treatment"):
        page.locator("#" + s).screenshot(path=f"/tmp/mc/{s}_{width}.png")
