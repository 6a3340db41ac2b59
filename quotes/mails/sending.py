"""Messages to customers: written down first, then handed to the mail server.

A message is a row before the server hears of it, and the row says what became of it.
The server is never spoken to inside a transaction: it may take ten seconds a word, and
nobody else could write meanwhile.
"""

from __future__ import annotations

import datetime as dt
import smtplib
from collections.abc import Mapping
from contextlib import suppress
from email.utils import formataddr, parseaddr
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.mail import EmailMessage, get_connection
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from billets.text import clean_text
from quotes import store
from quotes.mails.masking import masked
from quotes.models import Mail
from quotes.paper_files import TYPES, file_name
from shop import photos
from shop.kept_files import DamagedFileError
from shop.models import Order, Shop

MOST_ERROR = 300


def lack(shop: Shop) -> str:
    """Return what is missing before this shop can send mail; empty if nothing is."""
    if not settings.EMAIL_HOST:
        return _("No mail server is set up for this shop (README, Settings).")
    if not (settings.DEFAULT_FROM_EMAIL or shop.email):
        return _(
            "The shop has no e-mail address to send from: fill it in on the shop's "
            "page."
        )
    return ""


@sensitive_variables()
def write_down(
    order: Order, values: Mapping[str, Any], *, copied: bool, by: User | None,
    at: dt.datetime,
) -> Mail:  # fmt: skip
    """Keep a message: one to be sent counts as not sent until the server took it.

    A private link is kept without its secret; the message that is returned has it
    still, to be handed over and not to be saved whole.
    """
    typed = {name: values[name] for name in ("subject", "body")}
    kept = {name: masked(text) for name, text in typed.items()}
    columns = {name: one for name, one in values.items() if name != "photos"}
    mail = Mail.objects.create(
        order=order, by=by, at=at, state="copied" if copied else "failed",
        error="" if copied else _under_way(), **{**columns, **kept},
    )  # fmt: skip
    mail.photos.set(values.get("photos", ()))
    mail.subject, mail.body = typed["subject"], typed["body"]
    return mail


def _under_way() -> str:
    return _(
        "The mail server has not said yet whether it took this. Wait a minute and look "
        "again; if this stays, ask the customer before you try again."
    )


@sensitive_variables()
def hand_over(mail: Mail, shop: Shop) -> None:
    """Give a message to the mail server and keep what came of it."""
    error = masked(_refusal(mail, shop))  # a server may repeat what it dislikes
    mail.state, mail.error = ("failed" if error else "sent"), error[:MOST_ERROR]
    mail.save(update_fields=["state", "error"])


def came_back(mail: Mail) -> None:
    """Note that a message the server took could not be delivered after all."""
    said = _("It came back: nothing was delivered to {to}.").format(to=mail.to)
    Mail.objects.filter(pk=mail.pk, state="sent").update(
        state="failed", error=said[:MOST_ERROR]
    )


@sensitive_variables()
def _refusal(mail: Mail, shop: Shop) -> str:
    """Send a message; return why it was not sent, empty if it was."""
    server = get_connection()
    try:
        _message(mail, shop, server).send()
    except DamagedFileError:
        return _(
            "The file of the paper or of a photo is missing or damaged: nothing was "
            "sent."
        )
    # An error of sending is one of the system too (OSError); what cannot be written
    # as a message at all is a ValueError.
    except (OSError, ValueError) as error:
        return _sentence(error)
    finally:
        with suppress(OSError):  # a refused log-in leaves the line open
            server.close()
    return ""


@sensitive_variables()
def _message(mail: Mail, shop: Shop, server: Any) -> EmailMessage:
    given = settings.DEFAULT_FROM_EMAIL or shop.email
    name, address = parseaddr(given)
    message = EmailMessage(
        subject=mail.subject,
        body=mail.body,
        from_email=formataddr((name or clean_text(shop.name), address)),
        to=[mail.to],
        connection=server,
        reply_to=[shop.email] if shop.email else None,
    )
    if mail.paper:
        body = store.read(mail.paper.sha256)
        message.attach(file_name(mail.paper), body, TYPES[mail.paper.media])
    for photo in mail.photos.select_related("knife"):
        name = photos.file_name(photo, "large")
        message.attach(name, photos.read_large(photo), "image/jpeg")
    return message


# --- what a server says ------------------------------------------------------------


def _sentence(error: Exception) -> str:
    """Say what went wrong and what to do; the server's own words come last."""
    if isinstance(error, TimeoutError) or "timed out" in str(error):
        # Past the last word it may still have taken the message.
        return _(
            "The mail server did not answer within {seconds} seconds. Ask the customer "
            "before you try again: it may have been sent all the same."
        ).format(seconds=settings.EMAIL_TIMEOUT)
    if isinstance(error, smtplib.SMTPServerDisconnected):
        return _(
            "The mail server closed the line before it said that it took this. Ask the "
            "customer before you try again: it may have been sent all the same."
        )
    said = _said(error)
    if isinstance(error, smtplib.SMTPAuthenticationError):
        text = _(
            "The mail server does not take the name or password set for it: {said}"
        )
    elif isinstance(error, smtplib.SMTPRecipientsRefused):
        text = _("The mail server refused this address: {said}")
    elif isinstance(error, smtplib.SMTPException):
        text = _("The mail server refused the message: {said}")
    elif isinstance(error, OSError):
        text = _("The mail server could not be reached: {said}")
    else:
        text = _("This cannot be written as a message: {said}")
    return text.format(said=said)


def _said(error: Exception) -> str:
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return " ".join(_reply(*one) for one in error.recipients.values())
    if isinstance(error, smtplib.SMTPResponseException):
        return _reply(error.smtp_code, error.smtp_error)
    return clean_text(str(error)) or type(error).__name__


def _reply(code: int, words: bytes | str) -> str:
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return clean_text(f"{code} {text}")
