/** What is said with still, account, clip and stack alike: typed once. */
class Said {
  place = $state("");
  credit = $state("");
  /** How often something else was said: whoever shows it asks again. */
  changes = $state(0);
}

export const said = new Said();
