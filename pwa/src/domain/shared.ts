/** Pictures that another app shares into this one: kept by the service worker until a person says into which survey they go. */

/** Where the browser brings them; no page of its own. */
export const SHARED = '/share';
/** What the field of the form with the pictures is called. */
export const SHARED_FIELD = 'photos';
/** The cache that holds them: the browser's, since the worker is to keep them before any page is there. */
export const SHARED_CACHE = 'shared-photos';
/** What says, in a kept picture's headers, what its file was called. */
export const FILE_NAME = 'x-file-name';
