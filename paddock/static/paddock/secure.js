// Browsers keep pages and work without network on secure origins only (https, or this very
// computer). Elsewhere every page of the crew says so, in one sentence.

const line = document.getElementById("insecure");
if (line) line.hidden = window.isSecureContext;
