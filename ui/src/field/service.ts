// The service worker keeps the pages on the device; a newer build waits until the person takes it.
import { script } from "../transport/trusted";
import { isWindow } from "../transport/window";
import { app } from "./app.svelte";

export function serve(): void {
  if (isWindow() || !("serviceWorker" in navigator) || import.meta.env.DEV) return;
  void navigator.serviceWorker.register(script("./service.js")).then((registration) => {
    const offer = () => {
      if (registration.waiting && navigator.serviceWorker.controller) app.update = registration.waiting;
    };
    offer();
    void navigator.serviceWorker.ready.then(({ active }) => active?.postMessage("keep all"));
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  });
  let reloading = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (app.update === null || reloading) return;
    reloading = true;
    location.reload();
  });
}
