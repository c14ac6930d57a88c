// Copies a sheet's whole address.
"use strict";
(() => {
  document.addEventListener("click", async (event) => {
    const button = event.target.closest?.("[data-copy-address]");
    if (!button) return;
    const said = button.parentElement.querySelector("[role=status]");
    const address = new URL(button.dataset.copyAddress, location.href).href;
    try {
      await navigator.clipboard.writeText(address);
      said.textContent = "Copied";
    } catch {
      // Without permission, or over plain http: then it is there to be copied by hand.
      said.textContent = address;
    }
  });
})();
