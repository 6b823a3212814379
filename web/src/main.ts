import { mount } from "svelte";

import App from "./App.svelte";
import "./generated/tokens.css";
import "./styles.css";

const target = document.getElementById("app");
if (target) mount(App, { target });
