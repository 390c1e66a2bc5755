// Where one signs in, nobody is: pages kept on this device for whoever was here before are thrown away. What
// was entered and not sent yet stays; it is sent when somebody has signed in.
"use strict";
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.getRegistration().then((held) => { if (held && held.active) held.active.postMessage({ forget: true }); });
}
