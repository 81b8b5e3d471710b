using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>A table as CSV, as it came.</summary>
/// <param name="Utf8">The file.</param>
public sealed record CsvBody(ReadOnlyMemory<byte> Utf8)
{
    /// <summary>Its media type.</summary>
    public const string MediaType = "text/csv";

    /// <summary>Takes the file from the request, for handlers.</summary>
    /// <exception cref="BadHttpRequestException">It is of another media type, or too large.</exception>
    public static async ValueTask<CsvBody> BindAsync(HttpContext context)
    {
        if (!MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type) || type.MediaType != MediaType
            || type.Charset.HasValue && !type.Charset.Equals("utf-8", StringComparison.OrdinalIgnoreCase))
            throw new BadHttpRequestException("Not CSV in UTF-8.", StatusCodes.Status415UnsupportedMediaType);
        using var body = new MemoryStream();
        await context.Request.BodyReader.CopyToAsync(body, context.RequestAborted);
        return new CsvBody(body.ToArray());
    }
}
