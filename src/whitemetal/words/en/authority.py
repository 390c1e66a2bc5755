"""Sentences of the workshop's own certificates."""

MESSAGES: dict[str, str] = {
    "name": "whitemetal workshop authority for {host}",
    "leaf": "whitemetal record at {host}",
    "a_name": "a host name or an address, for example bench.workshop.local or 192.168.1.20",
    "title": "Let this device trust the workshop's record",
    "about": "The record runs over https with a certificate made in this workshop. A device that has it works without a connection too. It takes two minutes, once for each device.",
    "step_code": "On the device, open this page by its square code or by its address:",
    "take": "Take the certificate",
    "step_install": "Open what was taken and install it as a certificate of an authority (in the device's settings for security; on some devices it must then be switched on as trusted). Ask whoever keeps the devices where they are managed.",
    "step_compare": "Compare this fingerprint with the one the device shows and with the one on the screen the record was started from:",
    "step_go": "Then open the record:",
    "no_warning": "If the browser warns of the certificate, do not click through: it is not installed, or something stands between this device and the record.",
    "only_these": "This authority can vouch for the names of this record only, for no other site.",
    "names_needed": "the name or address that phones will open, with --name, since the record listens on every address of this machine",
    "both": "a certificate and its key together",
    "ready": "Devices take the certificate at {address}",
    "fingerprint": "Its fingerprint: {fingerprint}",
    "help_https": "serve over https with an authority of this workshop's own (or with --certificate and --key)",
    "help_name": "a name or address the record is opened by; may be given more than once",
    "help_certificate": "your own certificate for https, as PEM",
    "help_key": "its key",
}
