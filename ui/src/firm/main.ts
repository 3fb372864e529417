import "../look/base.css";
import "../look/controls.css";
import "../look/page.css";

import { mount } from "svelte";

import FirmPage from "./FirmPage.svelte";

const target = document.getElementById("app");
if (target) mount(FirmPage, { target });
