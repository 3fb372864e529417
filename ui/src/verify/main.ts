import "../look/base.css";
import "../look/controls.css";
import "../look/page.css";

import { mount } from "svelte";

import { script } from "../transport/trusted";
import VerifyPage from "./VerifyPage.svelte";

const target = document.getElementById("app");
if (target) mount(VerifyPage, { target });
// Once it was open, the page checks without a network; what it keeps for that comes after what the reader waits for.
if ("serviceWorker" in navigator && !import.meta.env.DEV) {
  addEventListener("load", () => setTimeout(() => void navigator.serviceWorker.register(script("./service.js")), 2000));
}
