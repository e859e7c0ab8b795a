/** A role and, for a foreman, the crew: asked alike for accounts and for tablets. */

import type { Access, Crew } from "../../core/contracts";
import { PEOPLE } from "../../core/people-wording";
import { ACCESS, ACCESS_FOR } from "../../core/who-wording";
import { choiceField, type Field } from "../../ui/field";

export interface RoleFields {
  boxes: readonly HTMLElement[];
  role(): Access;
  /** Return the crew as it is sent: of a foreman only. */
  crew(): { crew_id?: string };
  check(): boolean;
}

/** Return the two fields; the crew is asked of a foreman only. */
export function roleFields(roles: readonly [Access, ...Access[]], crews: readonly Crew[]): RoleFields {
  const role = choiceField(
    PEOPLE.role,
    roles.map((value) => ({ value, label: ACCESS[value] })),
    roles[0],
    ACCESS_FOR[roles[0]],
  );
  const names = crews.map(({ id, name }) => ({ value: id, label: name }));
  const crew: Field<HTMLSelectElement> = choiceField(PEOPLE.crew, [{ value: "", label: "" }, ...names], "");
  const now = (): Access => roles.find((one) => one === role.input.value) ?? roles[0];
  const follow = (): void => {
    crew.box.hidden = now() !== "foreman";
    const hint = role.box.querySelector(".field-hint");
    if (hint !== null) hint.textContent = ACCESS_FOR[now()];
  };
  role.input.addEventListener("change", follow);
  follow();
  return {
    boxes: [role.box, crew.box],
    role: now,
    crew: () => (now() === "foreman" ? { crew_id: crew.input.value } : {}),
    check() {
      const missing = now() === "foreman" && crew.input.value === "";
      crew.complain(missing ? PEOPLE.pickCrew : "");
      return !missing;
    },
  };
}
