# KilnShare as an image: built ahead of time for this machine's kind, run as a user without rights.
# The base images may be replaced where no registry answers (tests/compose.sh makes both from Debian packages).
ARG SDK_IMAGE=mcr.microsoft.com/dotnet/sdk:10.0
ARG RUNTIME_IMAGE=mcr.microsoft.com/dotnet/aspnet:10.0

FROM ${SDK_IMAGE} AS build
WORKDIR /source
COPY .editorconfig Directory.Build.props Directory.Packages.props ./
COPY deploy/sql/ deploy/sql/
COPY src/ src/
RUN dotnet publish src/KilnShare.Api -c Release -o /app --nologo -v quiet \
    --use-current-runtime --self-contained false -p:PublishReadyToRun=true -p:UseAppHost=false -p:DebugType=none -p:GenerateDocumentationFile=true

FROM ${RUNTIME_IMAGE}
WORKDIR /app
COPY --from=build /app ./
# The data folder keeps only the secret the roles' passwords are made from: PostgreSQL is another container.
RUN mkdir -p /data && chown 10001:10001 /data && chmod 700 /data
USER 10001:10001
VOLUME /data
ENV KILNSHARE_DATA=/data ASPNETCORE_URLS=http://+:8080 DOTNET_EnableDiagnostics=0 DOTNET_gcServer=0
EXPOSE 8080
# The service asks itself, since the image has neither curl nor wget.
HEALTHCHECK --interval=10s --timeout=5s --start-period=60s --retries=3 CMD ["dotnet", "KilnShare.Api.dll", "--check-health", "http://127.0.0.1:8080/health/ready"]
ENTRYPOINT ["dotnet", "KilnShare.Api.dll"]
