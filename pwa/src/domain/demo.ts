/** The invented house to try things on: it lives on this phone alone, and nothing of it is ever sent. */

/** Its survey here. No survey of the office can be called so, since ids have no colon. */
export const DEMO = 'demo:house';
