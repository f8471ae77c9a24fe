"""How every form of the site is drawn."""

from django.forms.renderers import TemplatesSetting


class SheetFormRenderer(TemplatesSetting):
    """Label above the field, help under the label, errors in words under the field."""

    form_template_name = "plant/forms/form.html"
    field_template_name = "plant/forms/field.html"
