// Back from the plant's provider: what it sent is sent on from here at once. The address is cleared first, so
// that the code does not stay in the history.
"use strict";
history.replaceState(null, "", location.pathname);
document.getElementById("go-on").submit();
