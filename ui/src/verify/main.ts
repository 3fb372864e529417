import "../look/base.css";
import "../look/controls.css";
import "../look/page.css";

import { mount } from "svelte";

import VerifyPage from "./VerifyPage.svelte";

const target = document.getElementById("app");
if (target) mount(VerifyPage, { target });
