import "../look/base.css";
import "../look/controls.css";
import "../look/page.css";

import { mount } from "svelte";

import LetterPage from "./LetterPage.svelte";

const target = document.getElementById("app");
if (target) mount(LetterPage, { target });
