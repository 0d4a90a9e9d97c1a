// A form over the page: one question after another, large enough for a thumb.

/** Opens a form; `read` gives what to keep, or the words for what is wrong with it. */
const openForm = (title, fields, label, read, foot = []) => {
  const opener = document.activeElement?.id;
  const wrong = make("p", { class: "warning", role: "alert", hidden: true });
  const close = () => {
    form.close();
    form.remove();
    draw();
    // What opened it may have been drawn anew since.
    if (opener) at(opener)?.focus({ preventScroll: true });
  };
  const submit = async event => {
    event.preventDefault();
    const found = read();
    if (typeof found === "string") {
      wrong.textContent = found;
      wrong.hidden = false;
      return;
    }
    await found();
    close();
  };
  const inside = make(
    "form",
    { novalidate: true, on: { submit } },
    make("h2", { id: "form-title", tabindex: "-1", autofocus: true }, title),
    ...fields,
    wrong,
    make("button", { type: "submit", class: "keep", id: "keep" }, label),
    button(say("cancel"), close, { id: "cancel" }),
    ...foot,
  );
  const form = make(
    "dialog",
    { "aria-labelledby": "form-title", on: { cancel: event => (event.preventDefault(), close()) } },
    inside,
  );
  document.body.append(form);
  form.showModal();
  return form;
};

const field = (label, input, hint) => {
  const id = input.id;
  const about = hint ? make("span", { class: "hint", id: `${id}-hint` }, hint) : undefined;
  if (about) input.setAttribute("aria-describedby", about.id);
  return make("div", { class: "field" }, make("label", { for: id }, label), about, input);
};

const typed = (id, value = "", attributes = {}) => {
  const input = make("input", { type: "text", id, autocomplete: "off", maxlength: 300, ...attributes });
  input.value = value;
  return input;
};

/** One of several, or with `many` any of them; `chosen` gives their values. */
const choice = (id, legend, options, many = false, first = undefined) => {
  const inputs = options.map(([value, label], n) => {
    const input = make("input", { type: many ? "checkbox" : "radio", name: id, id: `${id}-${n}` });
    input.value = value;
    input.checked = value === first;
    return [input, make("label", { for: input.id }, label)];
  });
  const group = make(
    "fieldset",
    { class: "chips" },
    make("legend", {}, legend),
    inputs.map(([input, label]) => make("span", { class: "chip" }, input, label)),
  );
  const chosen = () => inputs.filter(([input]) => input.checked).map(([input]) => input.value);
  return { group, chosen, inputs: inputs.map(([input]) => input) };
};

/** An amount by steps of a thumb, or typed. */
const amountField = (id, label, patch, value, most) => {
  const input = typed(id, value === undefined ? "" : figure(patch, value).replace(/ [^kg].*$/, ""), {
    inputmode: "decimal",
    class: "amount",
  });
  const by = change => () => {
    const now = readAmount(input.value, patch) ?? 0;
    input.value = figure(patch, Math.max(0, now + change)).replace(/ [^kg].*$/, "");
    input.dispatchEvent(new Event("input"));
  };
  const steps = stepsOf(patch, most);
  const step = change =>
    button((change < 0 ? "−" : "+") + figure(patch, Math.abs(change)), by(change), { class: "step" });
  const hint = patch.weighed ? say("weighIt") : say("countIt", `${patch.piece}s`);
  const whole = field(label, input, hint);
  whole.append(
    make("div", { class: "steps" }, [...steps.map(it => -it).reverse(), ...steps].map(step)),
  );
  return { whole, input, read: () => readAmount(input.value, patch) };
};

/** Who records it, remembered from one time to the next; and the day, where the clock is in doubt. */
const signature = () => {
  const { state, day } = clock();
  const by = typed("by", store.settings.get("by")?.value ?? "", { autocomplete: "name", maxlength: 80 });
  // An account signs; only where there is none the page asks.
  const account = page.app?.account;
  const fields = account ? [] : [field(say("who"), by)];
  const on = make("input", { type: "date", id: "on" });
  on.value = state === "early" ? page.made : day;
  if (state !== "in" && !(state === "late" && !page.walk)) fields.push(field(say("whichDay"), on));
  const read = () => {
    const name = account ?? by.value.trim();
    if (!name) return say("whoIsMissing");
    if (!/^\d{4}-\d\d-\d\d$/.test(on.value)) return say("dayIsMissing");
    if (!account && name !== store.settings.get("by")?.value) keep("settings", { id: "by", value: name });
    const recorded = day < on.value ? on.value : day;
    return { by: name, date: on.value, recorded_on: recorded };
  };
  return { fields, read };
};
