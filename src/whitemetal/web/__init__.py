"""The pages: FastAPI, server-rendered, with small plain scripts."""
