"""The form that takes in photos of a knife."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import MeasuredFormMixin, TextCleanField
from shop.pictures_in import Picture, read_pictures

KINDS = "image/jpeg,image/png,image/webp"
"""What a phone offers; one that has HEIC pictures makes JPEGs of them for this."""

CUT = _("At most 20 pictures of 12 MB each go at once. Choose fewer, and send the rest "
        "afterwards.")  # fmt: skip


class PicturesInput(forms.FileInput):
    """A box that takes several pictures."""

    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several pictures, each made anew; one that cannot be refuses them all."""

    widget = PicturesInput(attrs={"accept": KINDS})
    cut = False
    """Whether more was sent than was let in (``shop.uploads``)."""

    def clean(self, data: Any, initial: Any = None) -> list[Picture]:
        """Return the pictures; ValidationError says what is wrong with each one."""
        if self.cut:
            raise ValidationError(CUT, code="many")
        files: list[UploadedFile] = list(data or ())
        if not files:
            raise ValidationError(gettext("Choose one picture or more."), code="empty")
        try:
            return read_pictures(files)
        except ValidationError as error:
            if len(files) > len(error.error_list):
                none = gettext("None was kept: choose the good ones again.")
                error.error_list.append(ValidationError(none, code="none"))
            raise


class PhotosForm(MeasuredFormMixin, forms.Form):
    """Pictures and a note that goes with each of them."""

    pictures = PicturesField(
        label=_("Pictures"),
        help_text=_(
            "JPEG, PNG or WebP, up to 20 at once, 12 MB each. They are kept smaller, "
            "and without what the camera wrote into them, such as the place."
        ),
    )
    note = TextCleanField(
        label=_("What they show"), max_length=200, required=False,
        help_text=_("The customer reads it where a photo is marked for them."),
    )  # fmt: skip

    def __init__(self, *args: Any, cut: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(PicturesField, self.fields["pictures"]).cut = cut
