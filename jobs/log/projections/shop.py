"""Project events into the shop's settings, product sheets and route templates."""

from jobs.core.refs import ref
from jobs.models import Event, RouteTemplate, Sheet, ShopProfile
from jobs.models.bases import row_key

PRIVATE = (
    "name", "address", "postcode", "city", "country", "contact", "email", "tax_id", "payment",
    "terms",
)  # fmt: skip


def shop_set(event: Event) -> None:
    data = event.data
    shop = ShopProfile.objects.first() or ShopProfile(id=row_key(event.seq), data={})
    shop.data = {**shop.data, **data["settings"]}
    for name in PRIVATE:
        if name in data:
            setattr(shop, f"{name}_ref", ref(data[name]))
    shop.version = event.seq
    shop.save()


def sheet_set(event: Event) -> None:
    data = event.data
    Sheet.objects.create(
        id=row_key(event.seq),
        key=data["key"],
        version=data["version"],
        kind=data["kind"],
        data=data["data"],
        set_at=event.occurred_at,
    )


def template_set(event: Event) -> None:
    data = event.data
    RouteTemplate.objects.create(
        id=row_key(event.seq),
        key=data["key"],
        version=data["version"],
        text=data["text"],
        set_at=event.occurred_at,
    )
