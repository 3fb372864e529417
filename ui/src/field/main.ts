import "../look/base.css";
import "../look/controls.css";
import "../look/page.css";

import { mount } from "svelte";

import App from "./App.svelte";
import { serve } from "./service";

const target = document.getElementById("app");
if (target) mount(App, { target });
serve();
