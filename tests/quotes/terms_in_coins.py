"""What terms ask, in whole coins: written apart from the program, without Decimal."""

from dataclasses import dataclass

WHOLE = 10_000  # a rate in hundredths of a per cent, of one


class Refused(Exception):
    """The terms cannot be met."""


def half_up(above, below):
    """Integer division, halves up; for numbers from zero on."""
    return (2 * above + below) // (2 * below)


def up_to(amount, step):
    return -(-amount // step) * step if step else amount


@dataclass(frozen=True)
class CoinTerms:
    """Terms in coins; rates and shares in hundredths of a per cent.

    ``extras`` are (coins, rate or None), a rate of None being that of the knives.
    """

    mode: str
    rate: int
    percent: int
    off: int
    asked: int | None
    step: int
    deposit: int
    extras: tuple

    @property
    def charged(self):
        return sum(coins for coins, _rate in self.extras)

    def discount(self, knives):
        found = half_up(knives * self.percent, WHOLE) + self.off
        if found > knives:
            raise Refused
        return found

    def exact(self, knives):
        """The total before it is rounded or asked for."""
        return knives - self.discount(knives) + self.charged


@dataclass(frozen=True)
class CoinOffer:
    """Lines as read, and what they come to, in coins."""

    knives: tuple
    extras: tuple
    discount: int
    taxes: tuple
    net: int
    tax: int
    gross: int
    read: int
    deposit: tuple


def offer(own, terms, asked):
    """What a quote comes to whose knives cost so much, at a total asked or none."""
    knives, off = sum(own), terms.discount(sum(own))
    exact = terms.exact(knives)
    wanted = up_to(exact, terms.step) if asked is None else asked
    left = wanted - terms.charged
    if left <= 0 or off == knives:
        raise Refused
    if wanted != exact:
        knives = half_up((left + terms.off) * WHOLE, WHOLE - terms.percent)
        off = knives - left
    rows = [
        (coins, terms.rate if rate is None or not terms.rate else rate)
        for coins, rate in terms.extras
    ]
    return totalled(shared(own, knives), rows, off, terms)


def totalled(knives, extras, off, terms):
    read = {}
    for coins, rate in [*((one, terms.rate) for one in knives), *extras,
                        (-off, terms.rate)]:  # fmt: skip
        read[rate] = read.get(rate, 0) + coins
    taxes = tuple(
        (rate, *_base_and_tax(read[rate], rate, terms.mode))
        for rate in sorted(read, reverse=True)
    )
    net, tax = (sum(one[place] for one in taxes) for place in (1, 2))
    return CoinOffer(
        knives=tuple(knives), extras=tuple(extras), discount=off, taxes=taxes,
        net=net, tax=tax, gross=net + tax, read=sum(read.values()),
        deposit=_deposit(net + tax, tax, taxes, terms.deposit),
    )  # fmt: skip


def _base_and_tax(read, rate, mode):
    if mode == "net":
        return read, half_up(read * rate, WHOLE)
    tax = half_up(read * rate, WHOLE + rate)
    return read - tax, tax


def _deposit(gross, tax, taxes, share):
    """The part paid first and the tax in it."""
    part = half_up(gross * share, WHOLE)
    if len(taxes) > 1:
        return part, half_up(tax * share, WHOLE)
    rate = taxes[0][0]
    return part, half_up(part * rate, WHOLE + rate)


def shared(own, whole):
    """Parts of a whole as amounts are to each other, what is left to the worst off."""
    before = sum(own)
    parts = [one * whole // before for one in own]
    losers = sorted(range(len(own)), key=lambda at: -(own[at] * whole % before))
    for place in losers[: whole - sum(parts)]:
        parts[place] += 1
    return parts


def offers(own, others, terms):
    """The quote, and every way to have it: the knives as written come first.

    ``others`` are the prices of the knives with each option, what the smith charges
    more for it in them.
    """
    first = offer(own, terms, terms.asked)
    if not others:
        return first, ()
    return first, tuple(
        offer(knives, terms, _asked_with(own, knives, terms))
        for knives in (own, *others)
    )


def _asked_with(own, knives, terms):
    """The total with an option: that without it, and the difference by the step."""
    if terms.asked is None and not terms.step:
        return None
    exact = terms.exact(sum(own))
    base = up_to(exact, terms.step) if terms.asked is None else terms.asked
    return base + up_to(terms.exact(sum(knives)) - exact, terms.step)
