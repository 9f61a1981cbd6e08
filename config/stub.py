from django.http import Http404


def stub(request, **kwargs):
    raise Http404
