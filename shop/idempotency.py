"""The mechanism stands in ``billets.idempotency``, below every app that has forms."""

from billets.idempotency import key_of as key_of
from billets.idempotency import new_key as new_key
from billets.idempotency import once as once
